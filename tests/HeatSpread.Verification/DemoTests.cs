using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Verification.Support;
using Xunit;

namespace HeatSpread.Verification;

/// <summary>The demo pair shows the trade's known picture: what a cut ground pour and a small output pour cost a converter.</summary>
public class DemoTests(CheckTable checks)
{
    private const string Source = "common practice, no source";

    [Fact]
    public void ThePairDiffersAsTheTradeKnows()
    {
        var (unbroken, cut) = (Solve("demo-unbroken.json"), Solve("demo-cut.json"));
        checks.Absolute("demo, unbroken pours", Source, "converter, °C", 64, Part(unbroken, "U1").MaxCelsius, 2);
        checks.Absolute("demo, cut pour", Source, "converter, °C", 83, Part(cut, "U1").MaxCelsius, 2);
        Assert.Equal("U1", unbroken.HotSpots[0].Part);
        Assert.Equal("U1", cut.HotSpots[0].Part);
        Assert.Contains(cut.HotSpots, spot => spot.Part == "L10");
        Assert.True(unbroken.Verdict.Pass);
    }

    /// <summary>TP1 and TP2 lie 2.7 mm apart on either side of the cut.</summary>
    [Fact]
    public void TheCutIsASharpEdge()
    {
        Assert.InRange(Edge(Solve("demo-unbroken.json")), 0, 5);
        Assert.InRange(Edge(Solve("demo-cut.json")), 20, 40);
    }

    /// <summary>The first request of the README is sound, and its slot shows.</summary>
    [Fact]
    public void TheFirstRequestIsSound()
    {
        using var request = JsonDocument.Parse(File.ReadAllBytes(Fixture("slab.json")));
        var layout = Sound(LayoutReader.Read(System.Text.Encoding.UTF8.GetBytes(request.RootElement.GetProperty("layout").GetRawText())));
        var solution = Solve(layout, request.RootElement.GetProperty("conditions"));
        Assert.True(solution.Verdict.Pass);
        Assert.True(solution.HotSpots[0].Celsius - solution.Probes[0].Celsius > 10, "the probe lies behind the slot");
    }

    private static double Edge(BoardSolution solution) =>
        solution.Probes.Single(probe => probe.Name == "TP1").Celsius - solution.Probes.Single(probe => probe.Name == "TP2").Celsius;

    private static PartSummary Part(BoardSolution solution, string id) => solution.Parts.Single(part => part.Id == id);

    private static BoardSolution Solve(string file)
    {
        using var json = JsonDocument.Parse(File.ReadAllBytes(Fixture("demo-conditions.json")));
        return Solve(Sound(LayoutReader.Read(File.ReadAllBytes(Fixture(file)))), json.RootElement);
    }

    private static string Fixture(string file)
    {
        Assert.SkipWhen(Repository.Root is null, "the tests run outside a clone, without fixtures");
        return Path.Combine(Repository.Root!, "fixtures", "boards", file);
    }

    private static BoardSolution Solve(LayoutDocument layout, JsonElement conditionsJson)
    {
        var board = Sound(BoardBuilder.Build(layout));
        var conditions = Sound(ConditionsReader.Read(conditionsJson, "/conditions", board, layout.Unit));
        return BoardAnalysis.Analyse(board, conditions, new GridChoice(0.25e-3, null), threads: 2, progress: null, TestContext.Current.CancellationToken);
    }

    private static T Sound<T>(Reading<T> reading)
        where T : class
    {
        Assert.Empty(reading.Faults);
        return reading.Value!;
    }
}
