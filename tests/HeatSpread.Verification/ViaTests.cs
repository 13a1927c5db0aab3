using HeatSpread.Boards;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Heat through a plated barrel, and from a barrel into a plane.</summary>
public class ViaTests(CheckTable checks)
{
    private const double Plane = 35 * Micrometre, Core = 1.5 * Millimetre, Drill = 0.3 * Millimetre, Plating = 25 * Micrometre;

    /// <summary>Length of barrel between the middles of the two planes.</summary>
    private const double Between = Core + Plane;

    private static ViaGroup Via(double x, double y, double fill = 0) => new()
    {
        Net = 0,
        FromLayer = 0,
        ToLayer = 1,
        Drill = Drill,
        Plating = Plating,
        PlatingConductivity = 390,
        FillConductivity = fill,
        At = [new(x, y)],
    };

    private static StackRow[] Stack(double core) => [Copper("L1", Plane), Laminate(Core, core), Copper("L2", Plane)];

    /// <summary>One cell of plan, so that there is nothing but the barrel and the laminate beside it.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(0.3)]
    [InlineData(390)]
    public void BarrelBetweenTwoPlanes(double fill)
    {
        const double Side = 1 * Millimetre;
        var whole = Rectangle(0, 0, Side, Side);
        var via = Via(Side / 2, Side / 2, fill);
        var board = Board(whole, Stack(0.3), [Pour(whole, 0), Pour(whole, 1)], [OnPad("Q1", whole, 0.1)], [via]);
        var field = Solve(board, Surroundings(0, 0, contacts: Sink(whole, 1e5)), Side);
        double laminate = 0.3 * Side * Side / Core, barrel = (390 * via.PlatingArea + fill * via.FillArea) / Between;
        double difference = field.At(0, 0, 0) - field.At(2, 0, 0);
        checks.Relative($"plated barrel, fill {fill} W/(m·K)", "L/(k·A) of barrel and laminate side by side", "conductance between the planes, W/K", laminate + barrel, 0.1 / difference, 1e-3);
    }

    [Fact]
    public void TwelveBarrelsCarryTwelveTimesOne()
    {
        var whole = Rectangle(0, 0, 4 * Millimetre, 3 * Millimetre);
        double Conductance(int count)
        {
            var vias = Enumerable.Range(0, count).Select(i => Via((i % 4 + 0.5) * Millimetre, (i / 4 + 0.5) * Millimetre));
            var board = Board(whole, Stack(1e-3), [Pour(whole, 0), Pour(whole, 1)], [OnPad("Q1", whole, 1)], vias);
            var field = Solve(board, Surroundings(0, 0, contacts: Sink(whole, 1e5)), 1 * Millimetre);
            return 1 / (field.RowCelsius[0].Average() - field.RowCelsius[2].Average());
        }
        double one = 390 * Via(0, 0).PlatingArea / Between;
        checks.Relative("twelve barrels, one a cell", "12 k·A/L", "conductance between the planes, W/K", 12 * one, Conductance(12), 0.01);
    }

    /// <summary>
    /// Heat held at one temperature along the rim of a square plane runs into the barrel in its middle, through it, and out to the rim
    /// of the other plane. Textbook shape factor of a cylinder in the middle of a square, 2πt/ln(1.08 W/D); the plane inside the hole's wall is left out of it.
    /// </summary>
    [Theory]
    [InlineData(0.05, 0.01)]
    [InlineData(0.1, 0.01)]
    [InlineData(0.25, 0.05)]
    [InlineData(0.5, 0.10)]
    public void BarrelIntoAPlane(double pitchMillimetres, double allowed)
    {
        const double Side = 10 * Millimetre, Rim = 0.5 * Millimetre;
        Box inner = new(Rim, Rim, Side - Rim, Side - Rim), outer = new(0, 0, Side, Side);
        var rim = Frame(outer, inner);
        var whole = Rectangle(0, 0, Side, Side);
        var feed = OnPad("Q1", rim, 0.5, network: new(["feed"], [new(0, PartLinkTarget.Terminal, 0, 1e-3)], [1]));
        var board = Board(whole, Stack(1e-3), [Pour(whole, 0), Pour(whole, 1)], [feed], [Via(Side / 2, Side / 2)]);
        var field = Solve(board, Surroundings(0, 0, contacts: Sink(rim, 1e7)), pitchMillimetres * Millimetre);
        double plane = Math.Log(1.08 * (Side - 2 * Rim) / Drill) / (2 * Math.PI * 390 * Plane), barrel = Between / (390 * Via(0, 0).PlatingArea);
        checks.Relative($"rim to rim through one barrel, pitch {pitchMillimetres} mm", "shape factor 2πt/ln(1.08 W/D) (Incropera, DeWitt, table 4.1) and L/(k·A)", "resistance, K/W", 2 * plane + barrel, field.Parts[0].NodeCelsius[0] / 0.5, allowed);
    }
}
