using HeatSpread.Boards;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>The shortest physics from end to end: a slab heated evenly on one face, resistances in series.</summary>
public class LayeredSlabTests(CheckTable checks)
{
    private const string Source = "series resistance of a composite wall (Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, ch. 3.1)";
    private const double Side = 20 * Millimetre, Area = Side * Side, Watts = 2;

    private static readonly StackRow[] rows =
    [
        Laminate(20 * Micrometre, 0.25),
        Copper("L1", 50 * Micrometre),
        Laminate(200 * Micrometre, new Conductivity(0.8, 0.35)),
        Copper("L2", 35 * Micrometre),
        Laminate(1100 * Micrometre, new Conductivity(0.9, 0.3)),
        Copper("L3", 50 * Micrometre),
        Laminate(20 * Micrometre, 0.25),
    ];

    private static readonly Region whole = Rectangle(0, 0, Side, Side);

    private static Board Slab => Board(whole, rows, [Pour(whole, 0), Pour(whole, 1), Pour(whole, 2)], [OnPad("U1", whole, Watts)]);

    [Fact]
    public void HeatThatLeavesBelowCrossesTheRowsInSeries()
    {
        var field = Solve(Slab, Surroundings(top: 0, bottom: 25), 1 * Millimetre);
        double rise = Watts / (25 * Area);
        for (int row = rows.Length - 1; row >= 1; row--)
        {
            rise += Watts / Area * HalfResistance(row);
            checks.Relative("layered slab, film below", Source, $"rise of row {row + 1}, K", rise, field.At(row, Side / 2, Side / 2), 1e-5);
            rise += Watts / Area * HalfResistance(row);
        }
    }

    [Fact]
    public void HeatThatLeavesOnBothSidesDividesByConductance()
    {
        var field = Solve(Slab, Surroundings(top: 12, bottom: 25), 1 * Millimetre);
        double up = Area / (1.0 / 12 + Resistance(0) + HalfResistance(1));
        double down = Area / (1.0 / 25 + HalfResistance(1) + Enumerable.Range(2, 5).Sum(Resistance));
        double rise = Watts / (up + down);
        checks.Relative("layered slab, films on both sides", Source, "rise of L1, K", rise, field.At(1, Side / 2, Side / 2), 1e-5);
        checks.Relative("layered slab, films on both sides", Source, "heat through the top, W", rise * up, field.Heat.TopWatts, 1e-5);
        checks.Relative("layered slab, films on both sides", Source, "heat through the bottom, W", rise * down, field.Heat.BottomWatts, 1e-5);
        checks.Relative("layered slab, films on both sides", Source, "rise of the top face, K", rise * up / (12 * Area), field.TopFaceCelsius[0], 1e-5);
    }

    [Fact]
    public void AContactInPlaceOfTheFilmHasItsOwnSink()
    {
        var field = Solve(Slab, Surroundings(top: 0, bottom: 10, contacts: Sink(whole, 2000, celsius: 40)), 1 * Millimetre);
        double rise = 40 + Watts / (2000 * Area) + Watts / Area * (HalfResistance(1) + Enumerable.Range(2, 5).Sum(Resistance));
        checks.Relative("layered slab on a contact", Source, "L1, °C", rise, field.At(1, Side / 2, Side / 2), 1e-5);
        checks.Relative("layered slab on a contact", Source, "heat into the contact, W", Watts, field.Heat.ContactWatts[0], 1e-5);
    }

    /// <summary>m²·K/W; whole copper conducts as copper.</summary>
    private static double Resistance(int row) => rows[row].Thickness / (rows[row].Kind == StackRowKind.Copper ? rows[row].CopperConductivity : rows[row].Fill.Through);

    private static double HalfResistance(int row) => Resistance(row) / 2;
}
