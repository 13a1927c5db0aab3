using HeatSpread.Boards;
using HeatSpread.Verification.ClosedForms;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>A rectangular source on a plate with a film: exact series and the published formulas.</summary>
public class RectangularSourceTests(CheckTable checks)
{
    private const string Compound = "Yovanovich, Muzychka, Culham 1999, isoflux rectangle on a compound flux channel";
    private const string Series = "cosine series of a layered plate (Carslaw, Jaeger, ch. V), held to Yovanovich, Muzychka, Culham 1999";
    private const string Formula = "Lee, Song, Au, Moran 1995, closed formula, stated within 10 %";
    private const double Watts = 10;

    /// <summary>The paper's formula and our own series must be the same function before either judges the program.</summary>
    [Theory]
    [InlineData(0.010, 0.010, 10, 10)]
    [InlineData(0.0004, 0.0016, 390, 0.35)]
    [InlineData(0.0016, 0.0004, 0.35, 390)]
    public void TheSeriesIsThePublishedOne(double t1, double t2, double k1, double k2)
    {
        var paper = new CompoundFluxChannel(A: 2.5e-3, B: 2e-3, C: 10e-3, D: 8e-3, t1, t2, k1, k2, Film: 50);
        var plate = new LayeredPlate(20e-3, 16e-3, [new(t1, new(k1, k1)), new(t2, new(k2, k2))], topFilm: 0, bottomFilm: 50);
        var source = new Box(7.5e-3, 6e-3, 12.5e-3, 10e-3);
        checks.Relative($"series against paper, k₁ {k1}, k₂ {k2}", Compound, "mean rise of the source, K/W", paper.TotalResistance, plate.MeanRise(source, 1, source), 3e-5);
    }

    [Theory]
    [InlineData("one layer, k 10, 2 mm", 1e-3, 1e-3, 10, 10, 200)]
    [InlineData("0.5 mm of k 100 on 1.5 mm of k 1", 0.5e-3, 1.5e-3, 100, 1, 100)]
    [InlineData("0.5 mm of k 1 on 1.5 mm of k 100", 0.5e-3, 1.5e-3, 1, 100, 100)]
    public void CentredSource(string name, double t1, double t2, double k1, double k2, double film)
    {
        var source = new Box(7.5e-3, 6e-3, 12.5e-3, 10e-3);
        var paper = new CompoundFluxChannel(2.5e-3, 2e-3, 10e-3, 8e-3, t1, t2, k1, k2, film);
        var field = Solve(Plate(20e-3, 16e-3, [new(t1, new(k1, k1)), new(t2, new(k2, k2))], source), Surroundings(top: 0, bottom: film), 0.2 * Millimetre);
        checks.Relative($"centred source, {name}", Compound, "mean rise of the source, K", Watts * paper.TotalResistance, field.Parts[0].TerminalCelsius[0], 0.01);
    }

    /// <summary>Off the middle, anisotropic, films on both faces: what the paper leaves out and boards have.</summary>
    [Fact]
    public void SourceAtTheEdgeOfAnAnisotropicPlate()
    {
        PlateLayer[] layers = [new(0.3e-3, new(40, 0.5)), new(1.3e-3, new(0.9, 0.3))];
        var source = new Box(1e-3, 2e-3, 6e-3, 5e-3);
        var plate = new LayeredPlate(24e-3, 16e-3, layers, topFilm: 15, bottomFilm: 30);
        var field = Solve(Plate(24e-3, 16e-3, layers, source), Surroundings(top: 15, bottom: 30), 0.2 * Millimetre);
        checks.Relative("source at the edge, anisotropic, films on both faces", Series, "mean rise of the source, K", plate.MeanRise(source, Watts, source), field.Parts[0].TerminalCelsius[0], 0.01);
        foreach (var (x, y) in new[] { (3.5e-3, 3.5e-3), (12.1e-3, 8.1e-3), (22.9e-3, 14.9e-3) })
        {
            checks.Relative("source at the edge, anisotropic, films on both faces", Series, $"rise at ({x * 1e3:F1}, {y * 1e3:F1}) mm, K", plate.MeanRise(source, Watts, new(x, y, x, y)), field.At(0, x, y), 0.01);
        }
    }

    [Theory]
    [InlineData(4, 0.5, 0.5, 10)]
    [InlineData(5, 1, 10, 50)]
    [InlineData(10, 2, 100, 100)]
    [InlineData(8, 1.6, 17, 10)]
    public void SquareSourceOnASquarePlate(double sourceMillimetres, double thicknessMillimetres, double conductivity, double film)
    {
        double side = 20e-3, half = sourceMillimetres * 1e-3 / 2, thickness = thicknessMillimetres * 1e-3;
        var source = new Box(side / 2 - half, side / 2 - half, side / 2 + half, side / 2 + half);
        var formula = new SpreadingFormula(4 * half * half, side * side, thickness, conductivity, film);
        var field = Solve(Plate(side, side, [new(thickness, new(conductivity, conductivity))], source), Surroundings(top: 0, bottom: film), 0.25 * Millimetre);
        double evenRise = Watts * formula.OneDimensional;
        string name = $"{sourceMillimetres} mm source on 20 mm × {thicknessMillimetres} mm, k {conductivity}, film {film}";
        checks.Relative(name, Formula, "mean rise of the source, K", evenRise + Watts * formula.MeanSpreading, field.Parts[0].TerminalCelsius[0], 0.10);
        checks.Relative(name, Formula, "peak rise, K", evenRise + Watts * formula.PeakSpreading, field.RowCelsius[0].Max(), 0.10);
    }

    /// <summary>The pad row is a thin skin of the first layer's own stuff, so that the source lies in the top face.</summary>
    private static Board Plate(double length, double width, PlateLayer[] layers, Box source)
    {
        const double Skin = 2e-6;
        var first = layers[0].Conductivity;
        var skin = new StackRow { Kind = StackRowKind.Copper, Name = "L1", Thickness = Skin, Fill = first, CopperConductivity = first.InPlane };
        var rows = layers.Index().SelectMany(layer => Graded(layer.Item.Thickness - (layer.Index == 0 ? Skin : 0), layer.Item.Conductivity));
        var pad = Rectangle(source.MinX, source.MinY, source.MaxX, source.MaxY);
        return Board(Rectangle(0, 0, length, width), rows.Prepend(skin), parts: [OnPad("Q1", pad, Watts)]);
    }

    /// <summary>Rows that are thin at the upper face, where the heat turns.</summary>
    private static IEnumerable<StackRow> Graded(double thickness, Conductivity conductivity)
    {
        int[] parts = [1, 1, 2, 2, 3, 3, 4, 4];
        return parts.Select(part => Laminate(thickness * part / parts.Sum(), conductivity));
    }
}
