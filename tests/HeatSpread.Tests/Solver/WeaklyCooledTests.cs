using HeatSpread.Solver;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>Thick metal under weak films: links to the sink that single precision cannot see beside those inside.</summary>
public sealed class WeaklyCooledTests
{
    [Theory]
    [InlineData(1e-4, 1)]
    [InlineData(1e-5, 1)]
    [InlineData(3e-6, 2)]
    [InlineData(1e-6, 1)]
    [InlineData(1e-7, 1)]
    [InlineData(1e-9, 1)]
    [InlineData(1e-9, 2)]
    public void The_mean_rise_is_the_heat_over_what_leads_to_the_sink(double toSink, int pieces)
    {
        const int columns = 64, rows = 48, sheets = 2, plane = columns * rows;
        var grid = new ConductanceGrid(columns, rows, sheets);
        for (int i = 0; i < grid.CellCount; i++)
        {
            int column = i % columns, row = i % plane / columns;
            bool last = column == columns - 1 || (pieces == 2 && column == columns / 2 - 1);
            grid.East[i] = last ? 0 : 1.2f;
            grid.North[i] = row == rows - 1 ? 0 : 1.2f;
            if (i < plane) grid.Below[i] = 2e-4f;
            else grid.ToSink[i] = (float)toSink;
        }
        var heat = new double[grid.CellCount];
        heat[5 * columns + 7] = 0.75;
        heat[20 * columns + columns - 3] = 0.25;
        var temperature = new double[heat.Length];
        var report = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken)
            .Solve(heat, temperature, new SolveSettings(1e-8), null, TestContext.Current.CancellationToken);
        Assert.Equal(SolveStatus.Converged, report.Status);
        Assert.InRange(report.Iterations, 1, 30);
        Assert.Equal(1, report.HeatOut, 1e-6);
        double Mean(int from, int to) => Enumerable.Range(plane, plane).Where(i => i % columns >= from && i % columns < to).Average(i => temperature[i]);
        int half = columns / 2;
        if (pieces == 1) Assert.Equal(1, Mean(0, columns) * plane * (float)toSink, 1e-6);
        else Assert.Equal((0.75, 0.25), (Math.Round(Mean(0, half) * plane / 2 * (float)toSink, 6), Math.Round(Mean(half, columns) * plane / 2 * (float)toSink, 6)));
    }

    /// <summary>Conductances whose reciprocal is no number in single precision, as the elimination of nodes leaves on coarse levels of very fine grids: they tie nothing, and spoil nothing.</summary>
    [Theory]
    [InlineData(1e-36f)]
    [InlineData(4e-40f)]
    public void Cells_that_next_to_nothing_ties_to_the_others_do_no_harm(float next)
    {
        const int columns = 40, rows = 30, sheets = 3, plane = columns * rows;
        var grid = new ConductanceGrid(columns, rows, sheets);
        for (int i = 0; i < grid.CellCount; i++)
        {
            int column = i % columns, row = i % plane / columns;
            bool loose = column is 17 or 18 && row == 11, nextToLoose = column is 16 or 17 or 18 && row == 11;
            grid.East[i] = column == columns - 1 ? 0 : nextToLoose ? next : 1;
            grid.North[i] = row == rows - 1 ? 0 : loose || (column is 17 or 18 && row == 10) ? next : 1;
            if (i < grid.CellCount - plane) grid.Below[i] = loose ? next : 0.1f;
            else grid.ToSink[i] = loose ? next : 1e-3f;
        }
        var heat = new double[grid.CellCount];
        heat[5 * columns + 7] = 1;
        var temperature = new double[heat.Length];
        var report = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken).Solve(heat, temperature, new SolveSettings(1e-9), null, TestContext.Current.CancellationToken);
        Assert.True(report.Status == SolveStatus.Converged, $"{report.Status} after {report.Iterations}: {report.RelativeResidual:g2}");
        Assert.Equal(1, report.HeatOut, 1e-6);
        Assert.All(temperature, kelvin => Assert.True(double.IsFinite(kelvin)));
    }
}
