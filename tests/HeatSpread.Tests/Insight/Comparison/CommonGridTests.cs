using HeatSpread.Boards;
using HeatSpread.Insight.Comparison;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Revisions;
using Xunit;
using static HeatSpread.Tests.Thermal.Revisions.RevisionBoards;

namespace HeatSpread.Tests.Insight.Comparison;

/// <summary>Boards of other outlines and pitches on one grid, and the ledger there.</summary>
public class CommonGridTests
{
    private static readonly BoardGrid small = BoardGrid.Over(new Box(0, 0, 24e-3, 16e-3), 0.5e-3);

    [Fact]
    public void TheSameGridStays() => Assert.Equal(small, CommonGrid.Of(small, BoardGrid.Over(new Box(0, 0, 24e-3, 16e-3), 0.5e-3)));

    /// <summary>The finer grid itself where it covers both, whichever comes first.</summary>
    [Fact]
    public void TheFinerOneIsTakenWhereItCoversBoth()
    {
        var fine = BoardGrid.Over(new Box(-1e-3, 0, 25e-3, 16e-3), 0.25e-3);
        Assert.Equal(fine, CommonGrid.Of(small, fine));
        Assert.Equal(fine, CommonGrid.Of(fine, small));
    }

    /// <summary>Else one over both, of the finer pitch.</summary>
    [Fact]
    public void WhereNeitherCoversBothOneIsMadeOverBoth()
    {
        var other = BoardGrid.Over(new Box(10e-3, -2e-3, 30e-3, 10e-3), 0.25e-3);
        var common = CommonGrid.Of(small, other);
        Assert.Equal(0, common.Origin.X, 1e-9);
        Assert.Equal(-2e-3, common.Origin.Y, 1e-9);
        Assert.Equal(30e-3, common.Columns * common.PitchX, 1e-9);
        Assert.Equal(18e-3, common.Rows * common.PitchY, 1e-9);
        Assert.Equal(0.25e-3, common.PitchX, 1e-5);
    }

    /// <summary>A revision that is larger, moved and on a finer grid: the entries are those of the common grid, and add up.</summary>
    [Fact]
    public void TheLedgerAddsUpThere()
    {
        var larger = Cut with { Outline = Rectangle(-2, 0, 26, 16) };
        var grid = CommonGrid.Of(BoardGrid.Over(Whole.Outline.Bounds, 0.5e-3), BoardGrid.Over(larger.Outline.Bounds, 0.4e-3));
        var comparison = BoardComparison.Of(On(Whole, grid), On(larger, grid), ["U1", "R1"], new Dictionary<string, double>(), TestContext.Current.CancellationToken);
        foreach (var ledger in comparison.Ledger)
        {
            Assert.Equal(comparison.Parts.Single(part => part.Id == ledger.Part).DeltaKelvin!.Value, ledger.DeltaKelvin, 1e-9);
            Assert.Equal(ledger.DeltaKelvin, ledger.Entries.Sum(entry => entry.Kelvin), 1e-4);
        }
        Assert.Contains(comparison.Ledger[0].Entries, entry => entry.Kind == ChangeKind.OutlineChanged && entry.Kelvin < 0);
        Assert.Contains(comparison.Ledger[0].Entries, entry => entry.Kind == ChangeKind.CopperRemoved && entry.Net == "GND" && entry.Kelvin > 0);
    }

    private static SolvedNetwork On(Board board, BoardGrid grid) =>
        ThermalSolve.Run(board, Room, CopperRaster.Build(board, grid, TestContext.Current.CancellationToken), threads: 2, progress: null, TestContext.Current.CancellationToken);
}
