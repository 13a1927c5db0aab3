using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight;

public class FieldReadingsTests
{
    private static readonly Board board = SampleBoards.TwoLayers(10e-3, 8e-3);

    [Fact]
    public void PeakIsOverAllRowsAndNamesItsLayerAndNet()
    {
        var solution = SampleBoards.Solved(board, 1e-3, (layer, x, _) => 40 + 1000 * x + layer);
        var peak = FieldReadings.Peak(board, solution);
        Assert.Equal(("L2", "GND"), (peak.RowName, peak.Net));
        Assert.Equal(50.5, peak.Celsius, 1e-4);
        Assert.Equal(9.5e-3, peak.At.X, 1e-9);
    }

    [Fact]
    public void ARowWithoutANameIsCalledByKindAndNumber()
    {
        var solution = SampleBoards.Solved(board, 1e-3, (_, _, _) => 40);
        solution.Field.RowCelsius[2][17] = 99;
        var peak = FieldReadings.Peak(board, solution);
        Assert.Equal(("dielectric 3", null), (peak.RowName, peak.Net));
    }

    [Fact]
    public void LayersTellMaximumMinimumMeanAndCopper()
    {
        var layer = FieldReadings.Layers(board, SampleBoards.Solved(board, 1e-3, (layer, x, _) => 40 + 1000 * x))[0];
        Assert.Equal("L1", layer.Name);
        Assert.Equal(49.5, layer.MaxCelsius, 1e-4);
        Assert.Equal(40.5, layer.MinCelsius, 1e-4);
        Assert.Equal(45, layer.MeanCelsius, 1e-4);
        Assert.Equal(1, layer.CopperShare, 1e-6);
    }

    [Fact]
    public void PartsCarryNodesTerminalsAndMargin()
    {
        var part = FieldReadings.Parts(board, SampleBoards.Solved(board, 1e-3, (_, _, _) => 40).Field)[0];
        Assert.Equal(("U1", 70.0, 10.0), (part.Id, part.MaxCelsius, part.MarginKelvin));
        Assert.Equal(70, part.Nodes["junction"]);
        Assert.Equal(new TerminalReading("GND", 60, 1), Assert.Single(part.Terminals));
    }

    [Fact]
    public void ProbesReadALinearFieldExactly()
    {
        var probe = Assert.Single(FieldReadings.Probes(board, SampleBoards.Solved(board, 0.7e-3, (_, x, y) => 30 + 1000 * x - 700 * y).Field));
        Assert.Equal("TP1", probe.Name);
        Assert.Equal(30 + 3 - 2.1, probe.Celsius, 1e-4);
    }

    [Fact]
    public void CellsOutsideTheBoardAreLeftOutOfAProbe()
    {
        var grid = new BoardGrid { Columns = 2, Rows = 2, Origin = new(0, 0), PitchX = 1, PitchY = 1 };
        Assert.Equal(20, FieldSample.At(grid, [20, float.NaN, float.NaN, float.NaN], new(0.9, 0.9)), 1e-9);
        Assert.Equal(25, FieldSample.At(grid, [20, 30, float.NaN, float.NaN], new(1, 1)), 1e-9);
        Assert.Equal(20, FieldSample.At(grid, [20, float.NaN, float.NaN, float.NaN], new(1.6, 1.7)), 1e-9);
    }

    [Theory]
    [InlineData(-5, 0.5, 1)]
    [InlineData(0.25, 0.5, 1)]
    [InlineData(1.25, 0.5, 1.75)]
    [InlineData(9, 9, 6)]
    public void ProbesBeyondTheOutermostCentresReadTheNearest(double x, double y, double expected)
    {
        var grid = new BoardGrid { Columns = 3, Rows = 2, Origin = new(0, 0), PitchX = 1, PitchY = 1 };
        Assert.Equal(expected, FieldSample.At(grid, [1, 2, 3, 4, 5, 6], new(x, y)), 1e-9);
    }

    [Fact]
    public void APadTellsThePartBeforeABodyDoes()
    {
        var shield = new Part { Id = "S1", Kind = "can", Side = BoardSide.Top, Body = SampleBoards.Rectangle(0, 0, 10e-3, 8e-3), Terminals = [], Watts = 0 };
        var crowded = SampleBoards.TwoLayers(10e-3, 8e-3);
        var with = new Board
        {
            Name = crowded.Name,
            Revision = crowded.Revision,
            Outline = crowded.Outline,
            Rows = crowded.Rows,
            Layers = crowded.Layers,
            Nets = crowded.Nets,
            Copper = crowded.Copper,
            Vias = [],
            Probes = [],
            Parts = [shield, .. crowded.Parts],
        };
        Assert.Equal("U1", PartAt.Find(with, new(1.5e-3, 1.5e-3))?.Id);
        Assert.Equal("U1", PartAt.Find(with, new(4e-3, 6e-3))?.Id);
        Assert.Equal("S1", PartAt.Find(with, new(8e-3, 6e-3))?.Id);
        Assert.Null(PartAt.Find(with, new(80e-3, 6e-3)));
    }
}
