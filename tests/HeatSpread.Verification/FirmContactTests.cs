using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Cold plates whose own flow, conductance times rise over ambient, is millions of times the board's watts: the balance is of the watts nevertheless.</summary>
public class FirmContactTests(CheckTable checks)
{
    /// <summary>A single copper row: film and contact hold the same cells.</summary>
    [Theory]
    [InlineData(1e4, 25, 0.05)]
    [InlineData(1e6, 85, 0.05)]
    [InlineData(1e6, -40, 2)]
    [InlineData(1e8, 105, 0.001)]
    public void OneCopperRowOnAColdPlate(double firmness, double sinkCelsius, double watts)
    {
        var whole = Rectangle(0, 0, 20 * Millimetre, 15 * Millimetre);
        var board = Board(whole, [Copper("L1", 70 * Micrometre)], [Pour(whole)], [OnPad("Q1", Rectangle(2e-3, 3e-3, 5e-3, 5e-3), watts)]);
        var field = Solve(board, Surroundings(12, 7, 5, ambient: 20, Sink(Rectangle(0, 0, 12.3 * Millimetre, 9.1 * Millimetre), firmness, sinkCelsius, name: "cold plate")), 0.25 * Millimetre);
        Told($"one copper row on {firmness:g1} W/(m²·K) at {sinkCelsius} °C, {watts} W", field.Heat);
    }

    /// <summary>A thin board between two plates, each as firm as solder, at other temperatures: what flows is what the board lets through.</summary>
    [Theory]
    [InlineData(1e6, 0)]
    [InlineData(1e7, 0.1)]
    public void BetweenTwoPlates(double firmness, double watts)
    {
        var whole = Rectangle(0, 0, 12 * Millimetre, 10 * Millimetre);
        var board = Board(whole, [Copper("L1", 35 * Micrometre), Laminate(1 * Millimetre, 0.3), Copper("L2", 35 * Micrometre)], [Pour(whole), Pour(whole, 1)], [OnPad("Q1", Rectangle(2e-3, 3e-3, 5e-3, 5e-3), watts)]);
        var contacts = new[] { Sink(whole, firmness, 60, name: "cold plate"), Sink(whole, firmness, 61, Boards.BoardSide.Top, "lid") };
        var field = Solve(board, Surroundings(0, 0, 0, ambient: 20, contacts), 0.5 * Millimetre);
        Told($"between two plates of {firmness:g1} W/(m²·K), {watts} W", field.Heat);
        double through = 120e-6 / (1e-3 / 0.3 + (70e-6 / 390) + (2 / firmness));
        if (watts == 0) checks.Relative("between two plates", "series resistance (Incropera, DeWitt, ch. 3.1)", "from the lid, W", -through, field.Heat.ContactWatts[1], 1e-3);
    }

    private void Told(string name, HeatSpread.Thermal.HeatBalance heat)
    {
        double through = Math.Max(heat.DissipatedWatts, (Math.Abs(heat.TopWatts) + Math.Abs(heat.BottomWatts) + Math.Abs(heat.EdgesWatts) + heat.ContactWatts.Sum(Math.Abs)) / 2);
        checks.Absolute(name, "conservation of energy", "unbalanced share", 0, heat.ImbalanceWatts / through, 1e-6);
    }
}
