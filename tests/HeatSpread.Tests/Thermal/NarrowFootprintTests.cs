using HeatSpread.Boards;
using HeatSpread.Tests.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Thermal;

/// <summary>Parts that touch the board so little that no cell of the grid tells of it heat the nearest cell.</summary>
public sealed class NarrowFootprintTests
{
    private const double Millimetre = 1e-3;

    /// <summary>A square of 0.1 µm of the body lies over the corner. Before, the answer was an error of the program.</summary>
    [Theory]
    [InlineData(false)]
    [InlineData(true)]
    public void ABodyThatLiesOverTheCornerByAHairHeatsTheCorner(bool hasNetwork)
    {
        var board = TestBoards.OneLayer(20, 10) with
        {
            Parts =
            [
                new Part
                {
                    Id = "J1", Kind = "connector", Side = BoardSide.Top, Body = TestBoards.Box(19.9999, 9.9999, 24, 16), Terminals = [], Watts = 0.5,
                    Network = hasNetwork ? new PartNetwork(["inside"], [new(0, PartLinkTarget.Board, -1, 20)], [1]) : null,
                },
            ],
        };
        AssertHeatedAt(Solve(board), 19.75, 9.75);
    }

    /// <summary>
    /// What of a body hangs over a slot or the rim heats nothing: the field is that of the body's part over the board. Before, a cell with a hundredth of board took as much heat as a whole one, and was thousands of kelvins hot.
    /// </summary>
    [Theory]
    [InlineData(false, 0.005)]
    [InlineData(true, 0.005)]
    [InlineData(false, 0.25)]
    [InlineData(true, 0.25)]
    public void WhatOfABodyHangsOverTheEdgeHeatsNothing(bool poured, double beyondLine)
    {
        // The notch begins a hundredth or half of a cell beyond a line of the grid.
        double x = 14 + beyondLine, y = 6 + beyondLine;
        CopperFeature[] copper = poured ? [TestBoards.Area(TestBoards.Box(-1, -1, 21, 11))] : [];
        var notched = TestBoards.OneLayer(20, 10, copper) with { Outline = TestBoards.Ring((0, 0), (20, 0), (20, y), (x, y), (x, 10), (0, 10)) };
        TemperatureField Heated(Region body) =>
            Solve(notched with { Parts = [new Part { Id = "J1", Kind = "connector", Side = BoardSide.Top, Body = body, Terminals = [], Watts = 0.5 }] });
        TemperatureField over = Heated(TestBoards.Box(12, 4, 17, 9)), along = Heated(TestBoards.Ring((12, 4), (17, 4), (17, y), (x, y), (x, 9), (12, 9)));
        Assert.Equal(along.Parts[0].MaxCelsius, over.Parts[0].MaxCelsius, 1e-3);
        for (int row = 0; row < over.RowCelsius.Count; row++) Assert.All(over.RowCelsius[row].Zip(along.RowCelsius[row]), pair => Assert.Equal(pair.Second, pair.First, 2e-3f));
    }

    private static void AssertHeatedAt(TemperatureField field, double xMillimetres, double yMillimetres)
    {
        var (column, row) = field.Grid.CellAt(new(xMillimetres * Millimetre, yMillimetres * Millimetre));
        float there = field.RowCelsius[0][row * field.Grid.Columns + column];
        Assert.Equal(field.RowCelsius[0].Where(celsius => !float.IsNaN(celsius)).Max(), there);
        Assert.InRange(Math.Abs(field.Heat.ImbalanceWatts), 0, 1e-6 * field.Heat.DissipatedWatts);
        if (field.Parts[0].NodeCelsius.Count > 0) Assert.Equal(there + 10, field.Parts[0].NodeCelsius[0], 1e-3);
        else Assert.Equal(there, field.Parts[0].MaxCelsius, 1e-3);
    }

    private static TemperatureField Solve(Board board)
    {
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 0.5 * Millimetre), TestContext.Current.CancellationToken);
        return ThermalSolve.Run(board, SampleBoards.StillRoom, raster, threads: 2, progress: null, TestContext.Current.CancellationToken).Read();
    }
}
