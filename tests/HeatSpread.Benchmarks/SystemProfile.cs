using System.Diagnostics;
using System.Globalization;
using HeatSpread.Solver;
using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Benchmarks;

/// <summary>Times the steps of set-up and solve of one system one by one, on one thread: processor time, least of many repetitions, nanoseconds a cell of the whole network.</summary>
internal static unsafe class SystemProfile
{
    private const int Repetitions = 15;

    public static void Print(ConductanceGrid grid)
    {
        var resources = new SolverResources(1);
        var solver = MultigridSolver.Prepare(grid, resources, CancellationToken.None);
        Console.Error.Write(solver.DescribeLevels());
        solver.Dispose();
        using var team = new ThreadTeam(1, CancellationToken.None);
        var shape = new Shape(grid.Columns, grid.Rows, grid.Sheets);
        var level = new Level(shape, resources.Scratch);
        var runs = SetUp(grid, shape, level, resources, team);
        Kernels(grid.CellCount, shape, level, runs, team);
        Cycles(grid, shape, resources, team);
    }

    /// <summary>The level is packed and factored in the end.</summary>
    /// <returns>The runs of the finest level; null for none.</returns>
    private static ThinRuns? SetUp(ConductanceGrid grid, Shape shape, Level level, SolverResources resources, ThreadTeam team)
    {
        var network = new Conductances(grid.Columns, grid.Rows, grid.Sheets, grid.Columns, grid.Columns * grid.Rows, grid.East, grid.North, grid.Below, grid.ToSink, []);
        AlignedFloats[] sink = [new(shape.Length), new(shape.Length)];
        AlignedFloats reach = new(shape.Length);
        void Time(string name, Action step) => SystemProfile.Time(name, grid.CellCount, step);
        void Rows(string name, Action<int> row) => SystemProfile.Rows(name, grid.CellCount, shape.Rows, row);

        Time("set-up, all of it", () => MultigridSolver.Prepare(grid, resources, CancellationToken.None).Dispose());
        ConductanceRange range = default;
        Time("- network check", () => NetworkCheck.IsSound(grid, team, out range));
        Time("- islands", () => Islands.Find(grid, team));
        Time("- pieces", () => PlanPieces.Find(grid, network, [], range, team, resources.Scratch));
        Time("- pool, finest level", () => new Level(shape, resources.Scratch).Return(resources.Scratch));
        Rows("- packing, finest level", row => LevelPacking.Pack(network, level, sink, row));
        Rows("- weights, finest level", row => Coarsening.Weights(level, row, 1e-10f, reach));
        var half = shape.Half * shape.Sheets * shape.CoarseRows;
        var coarse = new Conductances(shape.CoarseColumns, shape.CoarseRows, shape.Sheets, shape.Half * shape.Sheets, shape.Half, new float[half], new float[half], new float[half], new float[half], []);
        Time("- Galerkin, finest level", () => Coarsening.Galerkin(level, sink, coarse, 0, shape.CoarseRows, resources.Scratch));
        ThinRuns? runs = null;
        Time("- runs, finest level", () => runs = ThinRuns.Find(level, sink, ColumnLinks.Of(network, 0, CancellationToken.None), team, resources.Scratch));
        Rows("- factors, finest level", row =>
        {
            LevelPacking.Pack(network, level, sink, row);
            LevelPacking.Factor(level, sink[0], 0, row);
            LevelPacking.Factor(level, sink[1], 1, row);
        });
        GC.KeepAlive(sink);
        GC.KeepAlive(reach);
        return runs;
    }

    private static void Kernels(int cells, Shape shape, Level level, ThinRuns? runs, ThreadTeam team)
    {
        var vectors = Enumerable.Range(0, 6).Select(k => new AlignedFloats(shape.Length, 9 + k)).ToArray();
        float* x0 = vectors[0].Pointer, x1 = vectors[1].Pointer, r = vectors[2].Pointer, p = vectors[3].Pointer, q = vectors[4].Pointer, e = vectors[5].Pointer;
        void Rows(string name, Action<int> row) => SystemProfile.Rows(name, cells, shape.Rows, row);

        Rows("relax red, rhs 0", row => level.Relax(0, row, x0, null, x1));
        Rows("relax black", row => level.Relax(1, row, x1, r, x0));
        Rows("black columns alone", row => level.SolveColumns(1, row, x1, r, null));
        Rows("lateral sum", row => level.LateralSum(1, row, e, x0, null, 0));
        Rows("lateral sum and addend", row => level.LateralSum(1, row, e, x0, r, 1));
        Rows("subtract relaxed", row => level.SubtractRelaxed(0, row, x0, x1));
        Rows("advance", row =>
        {
            var i = shape.RowStart(row);
            VectorKernels.Advance(p + i, q + i, e + i, r + i, x0 + i, x1 + i, 0.1f, 0.1f, isFirst: false, shape.RowStride);
        });
        Rows("products", row =>
        {
            var i = shape.RowStart(row);
            VectorKernels.Multiply(p + i, q + i, e + i, r + i, x0 + i, shape.RowStride);
        });
        if (runs != null)
        {
            var scratch = new AlignedFloats(runs.Count);
            Time("runs' own solution", cells, () => runs.AddOwnSolution(r, 0.5f, x1, scratch.Pointer, team));
        }

        GC.KeepAlive(vectors);
    }

    private static void Cycles(ConductanceGrid grid, Shape shape, SolverResources resources, ThreadTeam team)
    {
        var hierarchy = MultigridSolver.Prepare(grid, resources, CancellationToken.None).Levels!;
        using var workspace = Workspace.Rent(hierarchy, resources.Scratch, team);
        for (var i = 0; i < shape.Length; i++) workspace.Residual.Cells.Pointer[i] = hierarchy.Levels[0].Inverse[1].Pointer[i] > 0 ? 1e-3f * (i % 7) : 0;
        var cycle = new Cycle(hierarchy, workspace, team, null, null);
        Time("cycle", grid.CellCount, () => cycle.Run());
        Time("cycle below finest level", grid.CellCount, () => cycle.Below(1));
        var gradients = new ConjugateGradient(hierarchy, workspace, team);
        gradients.Step();
        Time("step", grid.CellCount, () => gradients.Step());
    }

    private static void Rows(string name, int cells, int rows, Action<int> row) => Time(name, cells, () =>
    {
        for (var y = 0; y < rows; y++) row(y);
    });

    private static void Time(string name, int cells, Action step)
    {
        var least = double.PositiveInfinity;
        for (var k = 0; k < Repetitions; k++)
        {
            var start = Environment.CpuUsage.TotalTime;
            var clock = Stopwatch.GetTimestamp();
            step();
            // Whichever is less: other work on the core is in the one, other threads of this process are in the other.
            least = Math.Min(least, Math.Min((Environment.CpuUsage.TotalTime - start).TotalSeconds, Stopwatch.GetElapsedTime(clock).TotalSeconds));
        }

        Console.Error.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{name,-28} {least * 1e3,8:F2} ms {least * 1e9 / cells,7:F2} ns a cell"));
    }
}
