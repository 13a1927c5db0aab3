using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;
using HeatSpread.Verification.ClosedForms;
using HeatSpread.Verification.Support;
using MathNet.Numerics.LinearAlgebra;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>
/// Order of convergence on manufactured solutions (P. J. Roache, Code verification by the method of manufactured solutions, J. Fluids Eng. 124, 2002, 4-10):
/// a heat source that is a cosine over the plan gives a field that is the same cosine.
/// </summary>
public class ConvergenceTests(CheckTable checks)
{
    private const string Source = "second order in theory; manufactured solution (Roache 2002)";
    private const double Length = 24 * Millimetre, Width = 16 * Millimetre, Flux = 1e4, TopFilm = 40, BottomFilm = 80;

    private static readonly double waveX = 2 * Math.PI / Length, waveY = Math.PI / Width, zeta = double.Hypot(waveX, waveY);

    /// <summary>The stack stays as a board has it, the plan is refined.</summary>
    [Fact]
    public void InThePlaneOfABoard()
    {
        StackRow[] rows = [Laminate(20e-6, 0.25), Copper("L1", 50e-6), Laminate(200e-6, new Conductivity(0.8, 0.35)), Copper("L2", 35e-6), Laminate(400e-6, new Conductivity(0.9, 0.3)), Copper("L3", 50e-6)];
        var exact = Amplitudes(rows);
        double[] errors = [.. new[] { 32, 64, 128 }.Select(columns => Error(rows, columns, heatedRow: 1, exact))];
        Compare("manufactured cosine, plan of a six-row board", errors);
    }

    /// <summary>Plan and thickness refined together; the source lies in the middle of the first row.</summary>
    [Fact]
    public void InAllDirections()
    {
        const double Thickness = 3 * Millimetre, Conductivity = 5;
        double[] errors = [.. new[] { 24, 48, 96 }.Select(columns =>
        {
            int rows = columns / 3;
            var slab = Slab(Thickness, new(Conductivity, Conductivity), rows);
            double step = Thickness / rows;
            double[] exact = [.. Enumerable.Range(0, rows).Select(row => SlabAmplitude(Thickness, Conductivity, step / 2, (row + 0.5) * step))];
            return Error([.. slab], columns, heatedRow: 0, exact);
        })];
        Compare("manufactured cosine, slab in all directions", errors);
    }

    private void Compare(string name, double[] errors)
    {
        for (int i = 1; i < errors.Length; i++)
        {
            checks.Absolute(name, Source, $"order, halving {i} (largest error {errors[i]:E1} of the amplitude)", 2, Math.Log2(errors[i - 1] / errors[i]), 0.1);
        }
    }

    /// <summary>Largest difference from the exact field as a share of its largest amplitude.</summary>
    private static double Error(StackRow[] rows, int columns, int heatedRow, double[] exact)
    {
        var token = TestContext.Current.CancellationToken;
        var whole = Rectangle(0, 0, Length, Width);
        int layer = 0;
        var board = Board(whole, rows, rows.Where(row => row.Kind == StackRowKind.Copper).Select(_ => Pour(whole, layer++)));
        var raster = CopperRaster.Build(board, BoardGrid.Over(whole.Bounds, Length / columns), token);
        var network = ThermalNetwork.Assemble(board, raster, token);
        Assert.Equal(rows.Length, network.Stack.Sheets.Count);
        var heat = new double[network.Grid.CellCount];
        new OuterFaces(network, Surroundings(TopFilm, BottomFilm)).Put(network.Grid, null, heat);
        for (int cell = 0; cell < raster.Grid.CellCount; cell++) heat[heatedRow * raster.Grid.CellCount + cell] += Flux * raster.Grid.CellArea * Cosine(raster.Grid, cell);
        var field = new double[heat.Length];
        var report = MultigridSolver.Prepare(network.Grid, 2, token).Solve(heat, field, new SolveSettings(1e-11), null, token);
        Assert.Equal(SolveStatus.Converged, report.Status);
        double largest = 0;
        for (int i = 0; i < field.Length; i++) largest = Math.Max(largest, Math.Abs(field[i] - exact[i / raster.Grid.CellCount] * Cosine(raster.Grid, i % raster.Grid.CellCount)));
        return largest / exact.Max();
    }

    private static double Cosine(BoardGrid grid, int cell)
    {
        var at = grid.Centre(cell % grid.Columns, cell / grid.Columns);
        return Math.Cos(waveX * at.X) * Math.Cos(waveY * at.Y);
    }

    /// <summary>Rows coupled through the stack, each with the exact sideways loss of a cosine: a small system solved densely.</summary>
    private static double[] Amplitudes(StackRow[] rows)
    {
        var system = Matrix<double>.Build.Dense(rows.Length, rows.Length);
        double Through(StackRow row) => row.Kind == StackRowKind.Copper ? row.CopperConductivity : row.Fill.Through;
        for (int row = 0; row < rows.Length; row++)
        {
            double inPlane = rows[row].Kind == StackRowKind.Copper ? rows[row].CopperConductivity : rows[row].Fill.InPlane;
            system[row, row] += inPlane * rows[row].Thickness * zeta * zeta;
            if (row + 1 == rows.Length) continue;
            double below = 1 / (rows[row].Thickness / 2 / Through(rows[row]) + rows[row + 1].Thickness / 2 / Through(rows[row + 1]));
            system[row, row] += below;
            system[row + 1, row + 1] += below;
            system[row, row + 1] = system[row + 1, row] = -below;
        }
        system[0, 0] += 1 / (1 / TopFilm + rows[0].Thickness / 2 / Through(rows[0]));
        system[rows.Length - 1, rows.Length - 1] += 1 / (1 / BottomFilm + rows[^1].Thickness / 2 / Through(rows[^1]));
        return [.. system.Solve(Vector<double>.Build.Dense(rows.Length, row => row == 1 ? Flux : 0))];
    }

    /// <summary>Amplitude at a depth of a slab with a plane source at another (not deeper), exact in all directions.</summary>
    private static double SlabAmplitude(double thickness, double conductivity, double sourceDepth, double depth)
    {
        PlateLayer Layer(double t) => new(t, new(conductivity, conductivity));
        double down = LayeredPlate.Downward([Layer(thickness - sourceDepth)], BottomFilm, zeta), up = LayeredPlate.Downward([Layer(sourceDepth)], TopFilm, zeta);
        double Profile(double z) => Math.Cosh(zeta * (thickness - z)) + BottomFilm / (conductivity * zeta) * Math.Sinh(zeta * (thickness - z));
        return Flux / (down + up) * Profile(depth) / Profile(sourceDepth);
    }
}
