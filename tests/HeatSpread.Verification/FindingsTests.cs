using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Verification.Support;
using Xunit;

namespace HeatSpread.Verification;

/// <summary>What is said of the demo pair is true of it: gains are those of layouts mended by hand.</summary>
public class FindingsTests(CheckTable checks, ITestOutputHelper output)
{
    [Fact]
    public void TheCutOfTheDemoCostsWhatIsSaid()
    {
        var (layout, solution) = Solve("demo-cut.json");
        Print(solution);
        var cut = Assert.Single(solution.Findings, finding => finding.Kind == FindingKind.PlaneCut && layout.Nets[finding.CutBy].Name == "FB");
        Assert.True(cut.Checked);
        Assert.Equal("U1", layout.Parts[cut.Part].Id);
        // by hand: the track that cuts the ground pour is taken off the layer
        var mended = layout with { Copper = [.. layout.Copper.Where(copper => !(copper is { Layer: "L1", Net: "FB", Clearance: 1.1 }))] };
        double gain = Celsius(solution, cut.Part) - Celsius(Solve(mended), cut.Part);
        checks.Relative("demo, cut pour", "the same board solved with the track taken off", "gain of closing the cut, K", gain, cut.GainKelvin!.Value, 0.1);
    }

    [Fact]
    public void TheUnbrokenDemoHasNoCut()
    {
        var (_, solution) = Solve("demo-unbroken.json");
        Print(solution);
        Assert.DoesNotContain(solution.Findings, finding => finding.Kind == FindingKind.PlaneCut);
    }

    private void Print(BoardSolution solution)
    {
        output.WriteLine($"grid error {solution.Accuracy.GridErrorKelvin:F2} K, findings {solution.Seconds.Findings:F2} s, solve {solution.Seconds.Solve:F2} s");
        foreach (var finding in solution.Findings) output.WriteLine($"{finding.Kind} {finding.GainKelvin:F2} {finding.Checked}: {finding.Text} {string.Join(' ', finding.Path.Select(p => $"({p.X * 1e3:F1}, {p.Y * 1e3:F1})"))}");
        foreach (var edit in solution.Edits) output.WriteLine($"{edit.Kind} {edit.GainKelvin:F2} K, {edit.AddedCopperSquareMeters * 1e6:F1} mm²: {edit.Text}");
    }

    private static double Celsius(BoardSolution solution, int part) => solution.Parts[part].MaxCelsius;

    private static (LayoutDocument Layout, BoardSolution Solution) Solve(string file)
    {
        Assert.SkipWhen(Repository.Root is null, "the tests run outside a clone, without fixtures");
        var layout = Sound(LayoutReader.Read(File.ReadAllBytes(Fixture(file))));
        return (layout, Solve(layout));
    }

    private static BoardSolution Solve(LayoutDocument layout)
    {
        using var json = JsonDocument.Parse(File.ReadAllBytes(Fixture("demo-conditions.json")));
        var board = Sound(BoardBuilder.Build(layout));
        var conditions = Sound(ConditionsReader.Read(json.RootElement, "/conditions", board, layout.Unit));
        return BoardAnalysis.Analyse(board, conditions, new GridChoice(0.25e-3, null), threads: 2, progress: null, TestContext.Current.CancellationToken);
    }

    private static string Fixture(string file) => Path.Combine(Repository.Root!, "fixtures", "boards", file);

    private static T Sound<T>(Reading<T> reading)
        where T : class
    {
        Assert.Empty(reading.Faults);
        return reading.Value!;
    }
}
