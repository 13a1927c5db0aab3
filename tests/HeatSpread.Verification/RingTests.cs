using HeatSpread.Boards;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>A round board with a round opening: heat from the inner rim to the outer one, aslant to the cells everywhere.</summary>
public class RingTests(CheckTable checks)
{
    [Theory]
    [InlineData(0.5, 0.02)]
    [InlineData(0.2, 0.01)]
    public void RadialConduction(double pitchMillimetres, double allowed)
    {
        const double Inner = 4 * Millimetre, Outer = 15 * Millimetre, Thickness = 0.1 * Millimetre, Band = 1 * Millimetre;
        var centre = new Point(15 * Millimetre, 15 * Millimetre);
        Region Ring(double from, double to) => new([new Polygon(Circle(centre, to), [Circle(centre, from)])]);
        var board = Board(
            Ring(Inner - Band, Outer + Band),
            [Copper("L1", Thickness)],
            [Pour(Ring(Inner - Band, Outer + Band))],
            [OnPad("Q1", Ring(Inner - Band, Inner), 1, network: new(["feed"], [new(0, PartLinkTarget.Terminal, 0, 1e-5)], [1]))]);
        var field = Solve(board, Surroundings(0, 0, contacts: Sink(Ring(Outer, Outer + Band), 1e8)), pitchMillimetres * Millimetre);
        checks.Relative($"round board with round opening, pitch {pitchMillimetres} mm", "ln(r₂/r₁)/(2πkt) (Incropera, DeWitt, ch. 3.3)", "resistance, K/W", Math.Log(Outer / Inner) / (2 * Math.PI * 390 * Thickness), field.Parts[0].NodeCelsius[0], allowed);
    }
}
