using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Conductivity that depends on temperature, by Kirchhoff's transformation of the temperature.</summary>
public class WarmConductivityTests(CheckTable checks)
{
    private const string Kirchhoff = "Kirchhoff transformation: Carslaw and Jaeger, Conduction of Heat in Solids, § 1.6 (from memory)";

    private const double Side = 2 * Millimetre, Ambient = 25;

    private static readonly Region Whole = Rectangle(0, 0, Side, Side);

    /// <summary>Heat through a slab: ∫k dT over it is flux times thickness.</summary>
    [Theory]
    [InlineData(0.002, 0.5)]
    [InlineData(-0.003, 0.3)]
    public void ThroughASlab(double perKelvin, double watts)
    {
        const double Thickness = 3 * Millimetre, Conductivity = 5;
        var curve = ConductivityCurve.Line(perKelvin, Ambient);
        StackRow[] rows = [Copper("L1", 35 * Micrometre), .. Slab(Thickness, new Conductivity(Conductivity, Conductivity), 24).Select(row => row with { FillCurve = curve })];
        var board = Board(Whole, rows, [Pour(Whole)], [OnPad("Q1", Whole, watts)]);
        var field = Solve(board, Surroundings(0, 0, ambient: Ambient, contacts: Sink(Whole, 1e6, celsius: Ambient)), 0.5 * Millimetre);
        double flux = watts / (Side * Side), bottom = flux / 1e6, transformed = bottom + perKelvin / 2 * bottom * bottom + flux * Thickness / Conductivity;
        double top = (Math.Sqrt(1 + 2 * perKelvin * transformed) - 1) / perKelvin;
        checks.Relative($"slab, conductivity {perKelvin:+0.000;-0.000} /K", Kirchhoff, "rise of the top, K", top, field.At(0, Side / 2, Side / 2) - Ambient, 2e-3);
        Assert.InRange(field.Heat.ImbalanceWatts, -1e-6 * watts, 1e-6 * watts);
    }

    /// <summary>A bar heated at one end and cooled at the other.</summary>
    [Fact]
    public void AlongABar()
    {
        const double Length = 20 * Millimetre, Width = 2 * Millimetre, Thickness = 1 * Millimetre, Conductivity = 24, PerKelvin = -0.0025, Watts = 0.35;
        var whole = Rectangle(0, 0, Length, Width);
        StackRow row = Laminate(Thickness, Conductivity) with { FillCurve = ConductivityCurve.Line(PerKelvin, Ambient) };
        var end = Rectangle(Length - 1 * Millimetre, 0, Length, Width);
        var board = Board(whole, [row], parts: [OnBody("Q1", Rectangle(0, 0, 1 * Millimetre, Width), Watts)]);
        var field = Solve(board, Surroundings(0, 0, ambient: Ambient, contacts: Sink(end, 1e7, celsius: Ambient)), 0.25 * Millimetre);
        double cold = field.At(0, 17.125e-3, 1e-3) - Ambient, hot = field.At(0, 3.125e-3, 1e-3) - Ambient, flux = Watts / (Width * Thickness);
        double carried = Conductivity * (hot - cold + PerKelvin / 2 * (hot * hot - cold * cold)) / 14e-3;
        checks.Relative("bar whose conductivity falls", Kirchhoff, "flux, W/mm²", flux * 1e-6, carried * 1e-6, 2e-3);
    }

    /// <summary>Laminates whose conductivity falls steeply, far past the end of their law: a field is found, and its heat is balanced.</summary>
    [Theory]
    [InlineData(-0.004, 0.9)]
    [InlineData(-0.004, 1.2)]
    [InlineData(-0.004, 2)]
    [InlineData(-0.01, 0.5)]
    [InlineData(-0.01, 1)]
    [InlineData(-0.05, 0.5)]
    [InlineData(-0.001, 3.5)]
    [InlineData(-0.001, 4)]
    public void FarPastTheEndOfALaw(double perKelvin, double watts)
    {
        var field = Solve(FallingBoard(perKelvin, watts), Surroundings(10, 10, ambient: Ambient), 1 * Millimetre);
        Assert.True(field.At(1, 11 * Millimetre, 13 * Millimetre) > Ambient - 0.95 / perKelvin, "nowhere is the law at its end");
        Assert.InRange(field.Heat.ImbalanceWatts, -1e-6 * watts, 1e-6 * watts);
    }

    /// <summary>Where a field is not found at temperatures that no board survives, the input is at fault.</summary>
    [Fact]
    public void NoFieldWhereCopperWouldBeLiquid()
    {
        var exception = Assert.Throws<ThermalSolveException>(() => Solve(FallingBoard(-0.004, watts: 12), Surroundings(10, 10, ambient: Ambient), 1 * Millimetre));
        Assert.True(exception.IsRunaway);
        Assert.Contains("where no material's law holds", exception.Message, StringComparison.Ordinal);
    }

    private static Board FallingBoard(double perKelvin, double watts)
    {
        var whole = Rectangle(0, 0, 40 * Millimetre, 30 * Millimetre);
        var curve = ConductivityCurve.Line(perKelvin, Ambient);
        StackRow[] rows = [Copper("L1", 35 * Micrometre), .. Slab(1.5 * Millimetre, new Conductivity(0.9, 0.35), 4).Select(row => row with { FillCurve = curve }), Copper("L2", 35 * Micrometre)];
        return Board(whole, rows, [Pour(Rectangle(18 * Millimetre, 0, 40 * Millimetre, 30 * Millimetre))], [OnPad("Q1", Rectangle(8 * Millimetre, 10 * Millimetre, 14 * Millimetre, 16 * Millimetre), watts)]);
    }
}
