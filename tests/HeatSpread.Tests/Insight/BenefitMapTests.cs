using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight;

/// <summary>The benefit map against solving the changed board: what it says must be the derivative of the part's temperature, and zero where no copper may be put.</summary>
public class BenefitMapTests
{
    private const double Pitch = 0.5e-3;

    /// <summary>More conductivity between the copper of L1, everywhere: central difference against the map's sum. Nothing but faces of the layer changes.</summary>
    [Fact]
    public void ItsSumIsTheDerivativeByWhatLiesBetweenTheCopper()
    {
        double Peak(double between) => RiseOfPart(Solve(TwoPours(between)));
        var solved = Solve(TwoPours(0.8));
        double[] benefit = BenefitMap.Unruled(solved, 0, Adjoint(solved));
        double perConductivity = benefit.Where(double.IsFinite).Sum() * solved.Raster.Grid.CellArea / (390 - 0.8);
        double expected = -(Peak(0.808) - Peak(0.792)) / 0.016;
        Assert.Equal(expected, perConductivity, 2e-3 * expected);
    }

    /// <summary>A patch of a poor conductor, 2 % better than what lies about it, drawn into the layout as copper: the difference of two solves against the map's sum over the patch.</summary>
    [Theory]
    [InlineData(10, 2, 12, 4)]
    [InlineData(8.5, 6.5, 10.5, 9.5)]
    [InlineData(11.5, 4.5, 13.5, 8)]
    public void OverAPatchItIsWhatThePatchSaves(double left, double lower, double right, double upper)
    {
        var without = Solve(TwoPours(10, copper: 10.2, thickness: 0.5e-3));
        var patch = SampleBoards.Rectangle(left * 1e-3, lower * 1e-3, right * 1e-3, upper * 1e-3);
        var with = Solve(TwoPours(10, copper: 10.2, thickness: 0.5e-3, patch));
        double[] benefit = BenefitMap.Unruled(without, 0, Adjoint(without));
        var grid = without.Raster.Grid;
        double promised = Enumerable.Range(0, grid.CellCount).Where(cell => PartAt.Contains(patch, grid.Centre(cell % grid.Columns, cell / grid.Columns))).Sum(cell => benefit[cell]) * grid.CellArea;
        double saved = RiseOfPart(without) - RiseOfPart(with);
        Assert.True(saved > 1e-6, "the patch must matter");
        Assert.Equal(saved, promised, 0.05 * saved);
    }

    [Fact]
    public void CopperHasNoBenefitAndTheGapBetweenTwoPoursOfOneNetHasMost()
    {
        var solved = Solve(TwoPours(0.8));
        var grid = solved.Raster.Grid;
        double[] benefit = BenefitMap.Of(solved, 0, Adjoint(solved), TestContext.Current.CancellationToken);
        double At(double x, double y)
        {
            var (column, row) = grid.CellAt(new(x * 1e-3, y * 1e-3));
            return benefit[row * grid.Columns + column];
        }
        Assert.Equal(0, At(4.2, 6.2));
        Assert.Equal(0, At(17.2, 6.2));
        Assert.True(At(11.2, 6.2) > 0);
        Assert.True(At(8.2, 6.2) > At(11.2, 6.2), "first at the hot side, where the heat leaves the pour");
        Assert.True(At(11.2, 6.2) > 20 * Math.Abs(At(19.7, 11.7)), "no heat crosses the far corner");
    }

    /// <summary>The gap of 6 mm again, its sides now of nets with rules.</summary>
    [Fact]
    public void WhereTheNetsForbidCopperThereIsNone()
    {
        var board = TwoPours(0.8);
        Board With(Net left, Net right, double clearance, double? ofLeft = null) => board with
        {
            Nets = [left, right],
            Copper = [board.Copper[0] with { Clearance = ofLeft ?? clearance }, board.Copper[1] with { Net = 1, Clearance = clearance }, board.Copper[2]],
        };
        int Room(Board given, double x)
        {
            var grid = BoardGrid.Over(given.Outline.Bounds, Pitch);
            var (column, row) = grid.CellAt(new(x * 1e-3, 6.2e-3));
            return CopperRoom.On(given, CopperRaster.Build(given, grid, TestContext.Current.CancellationToken), 0, TestContext.Current.CancellationToken)[row * grid.Columns + column] ? 1 : 0;
        }
        var (ground, quiet, switching) = (new Net("GND", [], false), new Net("AGND", [0], false), new Net("SW", [], true));
        // two nets, 0.5 mm apart from each other's copper: free on both sides and in the middle
        Assert.Equal([1, 1, 1], new[] { 8.7, 11.2, 13.7 }.Select(x => Room(With(ground, quiet, 0.5e-3), x)));
        // so far apart that no copper of either has room in the gap
        Assert.Equal([0, 0], new[] { 9.2, 11.2 }.Select(x => Room(With(ground, quiet, 5.5e-3), x)));
        // the larger of both clearances holds: near its own copper AGND keeps its 4 mm from GND, and GND has them too
        Assert.Equal([1, 0, 1], new[] { 8.7, 11.2, 12.2 }.Select(x => Room(With(ground, quiet, 4e-3, 0.3e-3), x)));
        // beside a switching node nothing may grow
        Assert.Equal([1, 1, 0], new[] { 8.7, 11.2, 13.7 }.Select(x => Room(With(ground, switching, 1e-3), x)));
    }

    private static double[] Adjoint(SolvedNetwork solved) => solved.Adjoint(solved.HeatEntryOf(0), TestContext.Current.CancellationToken);

    private static double RiseOfPart(SolvedNetwork solved) => solved.RiseOf(solved.HeatEntryOf(0));

    /// <summary>L1: a pour under the part on the left and one on the right, 6 mm apart, both from y = 2 to 10 mm; L2 whole.</summary>
    private static Board TwoPours(double between, double copper = 390, double thickness = 35e-6, Region? patch = null)
    {
        var board = SampleBoards.TwoLayers(20e-3, 12e-3);
        CopperFeature On(int layer, Region area) => new() { Layer = layer, Net = 0, Area = area };
        List<CopperFeature> features = [On(0, SampleBoards.Rectangle(1e-3, 2e-3, 8e-3, 10e-3)), On(0, SampleBoards.Rectangle(14e-3, 2e-3, 19e-3, 10e-3)), On(1, board.Outline)];
        if (patch is not null) features.Add(On(0, patch));
        var top = board.Rows[1] with { Thickness = thickness, CopperConductivity = copper, Fill = new(between, copper) };
        return board with
        {
            Rows = [board.Rows[0], top, .. board.Rows.Skip(2)],
            Copper = features,
            Parts = [board.Parts[0] with { Terminals = [new("GND", 0, SampleBoards.Rectangle(3e-3, 5e-3, 4e-3, 7e-3))] }],
        };
    }

    private static SolvedNetwork Solve(Board board)
    {
        var token = TestContext.Current.CancellationToken;
        return ThermalSolve.Run(board, SampleBoards.StillRoom, CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, Pitch), token), threads: 2, progress: null, token);
    }
}
