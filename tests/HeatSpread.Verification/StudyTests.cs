using System.Globalization;
using System.Text;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Insight.Studies;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;
using Xunit;

namespace HeatSpread.Verification;

/// <summary>Studies on boards of so much copper that they have one temperature: the derating line, the percentiles and the end of more copper are then known in closed form.</summary>
public class StudyTests(CheckTable checks)
{
    private const string Source = "nodal balance of a few resistances by hand";
    private const double Area = 20e-3 * 10e-3, Film = 50, PartResistance = 5;

    /// <summary>K/W of the films on both sides of a plate that has one temperature.</summary>
    private const double FilmResistance = 1 / (Film * Area);

    private static readonly double[] ambients = [0, 25, 60, 95, 110];

    [Theory]
    [InlineData(0, "exact")]
    [InlineData(1e-12, "searched")] // a material that depends on temperature by its form alone
    public void TheDeratingLineIsThatOfTheResistances(double perKelvin, string how)
    {
        var cases = Cases(Plate(perKelvin));
        using var solver = Solver(cases);
        var study = new DeratingStudy(cases, solver, [new(DeratingKind.Watts, 0), new(DeratingKind.AllWatts, -1)], ambients, TestContext.Current.CancellationToken);
        var points = new List<DeratingPoint>();
        study.Run(new HashSet<(int, int)>(), points.Add);
        Assert.Equal([how == "exact", how == "exact"], study.Curves.Select(curve => curve.IsExact));
        double tolerance = how == "exact" ? 1e-4 : 1e-3;
        foreach (var point in points.Where(point => ambients[point.Ambient] < 95))
        {
            double ambient = ambients[point.Ambient], other = 0.2;
            double ofPart = point.Curve == 0 ? (110 - ambient - other * FilmResistance) / (FilmResistance + PartResistance) : (110 - ambient) / (0.4 * (FilmResistance + PartResistance) + other * FilmResistance);
            double ofBoard = point.Curve == 0 ? (100 - ambient) / FilmResistance - other : (100 - ambient) / (0.6 * FilmResistance);
            string what = string.Create(CultureInfo.InvariantCulture, $"{study.Curves[point.Curve].Label} at {ambient} °C, {how}");
            checks.Relative("derating of a plate of one temperature", Source, $"{what}: by the part's limit", ofPart, point.Limits[0].Allowed!.Value, tolerance);
            checks.Relative("derating of a plate of one temperature", Source, $"{what}: by the board's limit", ofBoard, point.Limits[1].Allowed!.Value, tolerance);
            Assert.Equal(ofPart < ofBoard ? "U1" : "board", point.LimitedBy);
        }
        Assert.All(points.Where(point => ambients[point.Ambient] == 110), point => Assert.Equal((Allowance.Nothing, (double?)null), (point.Outcome, point.Allowed)));
        double nothing = study.NothingAbove([.. points.Where(point => point.Curve == 0)])!.Value;
        checks.Relative("derating of a plate of one temperature", Source, $"ambient at which nothing is allowed, {how}, °C", 100 - 0.2 * FilmResistance, nothing, 1e-3);
    }

    [Fact]
    public void NormalInputsGiveANormalTemperatureWhoseSharesAreKnown()
    {
        var cases = Cases(Plate(0));
        using var solver = Solver(cases);
        var axes = Axes(cases, """
            [{ "quantity": "watts", "part": "U1", "distribution": { "normal": { "mean": 0.4, "standardDeviation": 0.05 } } },
             { "quantity": "ambientCelsius", "distribution": { "normal": { "mean": 25, "standardDeviation": 3 } } },
             { "quantity": "filmWattsPerM2K", "relative": true, "distribution": { "uniform": { "least": 0.999, "most": 1.001 } } }]
            """);
        var plan = StudyPlan.Sample(axes, 400, seed: 1);
        var results = new List<PointResult>();
        new StudyRun(cases, solver, plan, TestContext.Current.CancellationToken).Run(new HashSet<int>(), results.Add);
        double perWatt = FilmResistance + PartResistance, byWatts = perWatt * 0.05, byAmbient = 3, deviation = Math.Sqrt(byWatts * byWatts + byAmbient * byAmbient);
        double mean = 25 + 0.4 * perWatt + 0.2 * FilmResistance, tenth = mean + 1.281552 * deviation;
        var derivatives = InputDerivatives.Of(cases, solver, axes, TestContext.Current.CancellationToken);
        var told = Tolerance.Of(plan, results, [tenth, null], derivatives)[0];
        const string what = "normal inputs on a plate of one temperature", source = "sum of independent normal variables (any handbook of statistics)";
        checks.Relative(what, source, "median, °C", mean, told.P50, 2e-3);
        checks.Relative(what, source, "P5 below the mean, K", 1.644854 * deviation, mean - told.P5, 0.06);
        checks.Relative(what, source, "P95 above the mean, K", 1.644854 * deviation, told.P95 - mean, 0.06);
        checks.Relative(what, source, "K for a watt, by the adjoint", perWatt, told.Inputs[0].KelvinPerUnit!.Value, 1e-4);
        checks.Relative(what, source, "K for a kelvin of ambient, by the adjoint", 1, told.Inputs[1].KelvinPerUnit!.Value, 1e-4);
        checks.Relative(what, source, "K for a share of the films, by the adjoint", -0.6 * FilmResistance, told.Inputs[2].KelvinPerUnit!.Value, 1e-3);
        checks.Relative(what, "first-order index of Sobol of a linear law", "share of the watts", byWatts * byWatts / (deviation * deviation), told.Inputs[0].Share!.Value, 1e-3);
        checks.Relative(what, "first-order index of Sobol of a linear law", "share of the watts, by sampling", byWatts * byWatts / (deviation * deviation), told.Inputs[0].SampledShare, 0.08);
        checks.Relative(what, "first-order index of Sobol of a linear law", "share of the ambient, by sampling", byAmbient * byAmbient / (deviation * deviation), told.Inputs[1].SampledShare, 0.08);
        Assert.InRange(told.LinearShare, 0.9999, 1.0000001);
        Assert.InRange(0.1, told.Exceedance!.Low, told.Exceedance.High);
    }

    [Fact]
    public void AsManyViasAreNeededAsTheResistancesSay()
    {
        var cases = Cases(TwoPlates);
        using var solver = Solver(cases);
        var axis = Axes(cases, """[{ "quantity": "viaCount", "via": 0 }]""", AxisUse.Search)[0];
        const double platingArea = Math.PI * (0.15e-3 * 0.15e-3 - 0.125e-3 * 0.125e-3), length = 1.035e-3, barrel = 390 * platingArea / length, laminate = 0.02 * Area / 1e-3, films = 1 / (Film * Area);
        double At(double vias) => 25 + films + 1 / (vias * barrel + laminate);
        double limit = At(11.5);
        var met = new CopperPlan(cases, solver, axis, 0, limit, 4, 100, 1).Run([], _ => { });
        Assert.True(met.IsMet, met.Text);
        Assert.Equal(12, met.Value);
        const string what = "vias between two plates of one temperature";
        checks.Relative(what, Source, "part with 12 vias, over the ambient, K", At(12) - 25, met.Celsius!.Value - 25, 2e-3);
        Assert.InRange(met.Trials.Count, 3, 9); // 97 counts lie between the brackets
        var cannot = new CopperPlan(cases, solver, axis, 0, 24 + films, 4, 100, 1).Run([], _ => { });
        Assert.False(cannot.IsMet);
        checks.Relative(what, "the barrels' resistance gone", "end of ever more vias, over the ambient, K", films, cannot.AsymptoteCelsius!.Value - 25, 2e-3);
        Assert.Contains("cannot", cannot.Text, StringComparison.Ordinal);
    }

    /// <summary>U1 of 0.4 W on 5 K/W, Q2 of 0.2 W, on 1 mm of something that conducts a thousand times better than copper does.</summary>
    private static string Plate(double perKelvin) => string.Create(CultureInfo.InvariantCulture, $$"""
        {
          "name": "plate", "unit": "mm", "outline": { "type": "Polygon", "coordinates": [[[0, 0], [20, 0], [20, 10], [0, 10], [0, 0]]] },
          "materials": { "ideal": { "inPlane": 400000, "through": 400000{{(perKelvin > 0 ? $", \"perKelvin\": {perKelvin:R}" : "")}} } },
          "stack": [{ "kind": "dielectric", "thicknessUm": 500, "material": "ideal" }],
          "parts": [
            { "id": "U1", "watts": 0.4, "limitCelsius": 110, "body": {{Square(4)}}, "network": { "nodes": ["junction"], "links": [{ "from": "junction", "to": "board", "kelvinPerWatt": 5 }], "heatAt": "junction" } },
            { "id": "Q2", "watts": 0.2, "body": {{Square(14)}} }]
        }
        """);

    private static string TwoPlates => $$"""
        {
          "name": "plates", "unit": "mm", "outline": { "type": "Polygon", "coordinates": [[[0, 0], [20, 0], [20, 10], [0, 10], [0, 0]]] },
          "stack": [{ "kind": "copper", "name": "L1", "thicknessUm": 35, "conductivity": 1000000 }, { "kind": "dielectric", "thicknessUm": 1000, "conductivity": { "inPlane": 0.02, "through": 0.02 } }, { "kind": "copper", "name": "L2", "thicknessUm": 35, "conductivity": 1000000 }],
          "nets": [{ "name": "A" }],
          "copper": [
            { "layer": "L1", "net": "A", "area": { "type": "Polygon", "coordinates": [[[0, 0], [20, 0], [20, 10], [0, 10], [0, 0]]] } },
            { "layer": "L2", "net": "A", "area": { "type": "Polygon", "coordinates": [[[0, 0], [20, 0], [20, 10], [0, 10], [0, 0]]] } }],
          "vias": [{ "net": "A", "drill": 0.3, "platingUm": 25, "array": { "origin": [6, 3], "columns": 4, "rows": 2, "pitch": [2, 2] } }],
          "parts": [{ "id": "U1", "watts": 1, "body": {{Square(9)}} }]
        }
        """;

    private static string Square(double x) => string.Create(CultureInfo.InvariantCulture, $$"""{ "type": "Polygon", "coordinates": [[[{{x}}, 4], [{{x + 2}}, 4], [{{x + 2}}, 6], [{{x}}, 6], [{{x}}, 4]]] }""");

    private static StudyCases Cases(string layout)
    {
        var reading = LayoutReading.ReadBoard(Encoding.UTF8.GetBytes(layout));
        Assert.Empty(reading.Faults);
        // the two plates give their heat off below, the one plate on both sides
        string conditions = reading.Board!.Layers.Count > 0
            ? """{ "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": 0 }, "bottom": { "filmWattsPerM2K": 50 } } }"""
            : """{ "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": 20 }, "bottom": { "filmWattsPerM2K": 30 } }, "limits": { "boardCelsius": 100 } }""";
        return new(LayoutWriter.Write(reading.Document!), Encoding.UTF8.GetBytes(conditions), reading.Board!, "mm");
    }

    private static StudySolver Solver(StudyCases cases) => StudySolver.Start(cases, new GridChoice(0.5e-3, null), new SolveCapacity(2), progress: null, TestContext.Current.CancellationToken);

    private static IReadOnlyList<StudyAxis> Axes(StudyCases cases, string json, AxisUse use = AxisUse.Sample)
    {
        var state = new ReadingState(LayoutLimits.Default);
        using var posted = JsonDocument.Parse(json);
        using var conditions = JsonDocument.Parse(cases.Root["conditions"]!.ToJsonString());
        var reader = new AxisReader(Encoding.UTF8.GetBytes(cases.Root["layout"]!.ToJsonString()), conditions.RootElement, cases.Base.Board, 1000);
        var axes = posted.RootElement.EnumerateArray().Select(axis => reader.Read(axis, JsonPointer.Root(""), use, state)).ToArray();
        Assert.Empty(state.Faults.Faults());
        return [.. axes.Select(axis => axis!)];
    }
}
