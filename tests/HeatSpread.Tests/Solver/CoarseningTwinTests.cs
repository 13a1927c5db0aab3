using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>Interpolation weights and Galerkin products against their scalar twins. <see cref="InstructionSetTests"/> runs these again with vector instructions switched off.</summary>
public unsafe class CoarseningTwinTests
{
    private const float Tiny = 1e-9f;

    /// <summary>A packed level of a random board, its conductances to the sink and the vertical ones of black columns that coarse networks see.</summary>
    private static (Level Level, AlignedFloats[] Sink, AlignedFloats Reach) Packed(int columns, int rows, int sheets, int seed)
    {
        var grid = RandomNetwork.Board(new Random(seed), columns, rows, sheets, cutouts: seed % 2 == 0);
        var network = new Conductances(columns, rows, sheets, columns, columns * rows, grid.East, grid.North, grid.Below, grid.ToSink, []);
        var shape = new Shape(columns, rows, sheets);
        var level = new Level(shape, new ScratchPool(0));
        AlignedFloats[] sink = [new(shape.Length), new(shape.Length)];
        var reach = new AlignedFloats(shape.Length);
        for (var row = 0; row < rows; row++) LevelPacking.Pack(network, level, sink, row);
        for (var row = 0; row < rows; row++) Coarsening.Weights(level, row, Tiny, reach);
        return (level, sink, reach);
    }

    private static void AssertClose(double expected, double actual, double scale, string what) =>
        Assert.True(Math.Abs(expected - actual) <= 2e-5 * scale, $"{what}: {expected} and {actual}");

    [Theory]
    [InlineData(1, 5, 3)]
    [InlineData(40, 1, 2)]
    [InlineData(33, 18, 5)]
    [InlineData(64, 31, 1)]
    [InlineData(7, 12, 9)]
    public void Weights(int columns, int rows, int sheets)
    {
        for (var seed = 0; seed < 4; seed++)
        {
            var (level, _, reach) = Packed(columns, rows, sheets, seed);
            for (var c = 0; c < columns * rows; c++)
            {
                int x = c % columns, y = c / columns;
                if (Shape.ColorOf(x, y) == 0) continue;
                var (dx, dy) = (y & 1) == 0 ? (1, 0) : (0, 1);
                var hasFar = x + dx < columns && y + dy < rows;
                double[] All(Func<int, double> of) => [.. Enumerable.Range(0, sheets).Select(of)];
                double Coarse(int cx, int cy, int s) => cx < columns && cy < rows ? level.Multiplier[0].Pointer[level.Shape.ColumnStart(cx, cy) + (s * level.Shape.Half)] : 0;
                var start = level.Shape.ColumnStart(x, y);
                var (weight, cut) = CoarseningTwins.Weights(
                    All(s => *level.LateralPlace(x, y, -dx, -dy, s)),
                    All(s => hasFar ? *level.LateralPlace(x, y, dx, dy, s) : 0),
                    All(s => level.Multiplier[1].Pointer[start + (s * level.Shape.Half)]),
                    All(s => Math.Max(Coarse(x - dx, y - dy, s), Coarse(x + dx, y + dy, s))),
                    hasFar,
                    Tiny);
                for (var s = 0; s < sheets; s++)
                {
                    AssertClose(weight[s], level.Weight.Pointer[start + (s * level.Shape.Half)], 1, $"weight at {x}, {y}, {s}, seed {seed}");
                    AssertClose(cut[s], reach.Pointer[start + (s * level.Shape.Half)], 1e-9 + cut[s], $"vertical at {x}, {y}, {s}, seed {seed}");
                }
            }
        }
    }

    [Theory]
    [InlineData(1, 5, 3)]
    [InlineData(40, 1, 2)]
    [InlineData(33, 18, 5)]
    [InlineData(34, 17, 5)]
    [InlineData(64, 31, 1)]
    [InlineData(7, 12, 9)]
    public void Galerkin(int columns, int rows, int sheets)
    {
        for (var seed = 0; seed < 4; seed++)
        {
            var (level, sink, reach) = Packed(columns, rows, sheets, seed);
            level.Multiplier[1] = reach;
            Conductances coarse = Empty(level.Shape), twin = Empty(level.Shape);
            Coarsening.Galerkin(level, sink, coarse, 0, coarse.Rows, new(0));
            CoarseningTwins.Galerkin(level, sink, twin);
            AssertClose(twin.East, coarse.East, "east", twin);
            AssertClose(twin.North, coarse.North, "north", twin);
            AssertClose(twin.Below, coarse.Below, "below", twin);
            AssertClose(twin.ToSink, coarse.ToSink, "to the sink", twin);
        }
    }

    private static Conductances Empty(Shape shape)
    {
        var length = shape.Half * shape.Sheets * shape.CoarseRows;
        return new(shape.CoarseColumns, shape.CoarseRows, shape.Sheets, shape.Half * shape.Sheets, shape.Half, new float[length], new float[length], new float[length], new float[length], []);
    }

    private static void AssertClose(float[] expected, float[] actual, string what, Conductances at)
    {
        double scale = expected.Max();
        for (var y = 0; y < at.Rows; y++)
        {
            for (var s = 0; s < at.Sheets; s++)
            {
                for (var x = 0; x < at.Columns; x++)
                {
                    var i = (s * at.SheetStride) + (y * at.RowStride) + x;
                    AssertClose(expected[i], actual[i], Math.Max(expected[i], 0.05 * scale), $"{what} at {x}, {y}, {s}");
                }
            }
        }
    }
}
