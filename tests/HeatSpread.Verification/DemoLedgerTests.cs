using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight.Comparison;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Revisions;
using HeatSpread.Verification.Support;
using Xunit;

namespace HeatSpread.Verification;

/// <summary>The ledger of the demo pair: what cost the converter its 18 K.</summary>
public class DemoLedgerTests(CheckTable checks)
{
    [Theory]
    [InlineData("U1")]
    [InlineData("L10")]
    public void TheCutAndTheShrunkenOutputCopperAreTheTwoLargest(string part)
    {
        var comparison = BoardComparison.Of(Solve("demo-unbroken.json"), Solve("demo-cut.json"), [part], Errors, TestContext.Current.CancellationToken);
        var ledger = Assert.Single(comparison.Ledger);
        Assert.Equal([(ChangeKind.CopperRemoved, "GND"), (ChangeKind.CopperRemoved, "VOUT")], ledger.Entries.Take(2).Select(entry => (entry.Kind!.Value, entry.Net!)));
        Assert.True(ledger.Entries[1].Kelvin > 1, "the second is no trifle");
        Assert.Equal(comparison.Parts.Single(delta => delta.Id == part).DeltaKelvin, ledger.DeltaKelvin);
        checks.Absolute($"demo pair, ledger of {part}", "K_A λ = e, exact identity", "sum of entries, K", ledger.DeltaKelvin, ledger.Entries.Sum(entry => entry.Kelvin), 1e-3);
    }

    /// <summary>Copper on three layers that lie upon each other is one change, and its outline holds what was taken.</summary>
    [Fact]
    public void TheCutIsOneChangeOnAllItsLayers()
    {
        var comparison = BoardComparison.Of(Solve("demo-unbroken.json"), Solve("demo-cut.json"), ["U1"], Errors, TestContext.Current.CancellationToken);
        var cut = comparison.Ledger[0].Entries[0];
        Assert.Equal(["L1", "L2", "L4"], cut.Pieces.Select(piece => piece.Layer).Order());
        Assert.Equal(cut.Kelvin, cut.Pieces.Sum(piece => piece.Kelvin), 1e-9);
        foreach (var piece in cut.Pieces) Assert.Equal(piece.SquareMeters, piece.Area.Polygons.Sum(polygon => polygon.Area), 0.02 * piece.SquareMeters);
        Assert.Contains("GND", cut.Text, StringComparison.Ordinal);
    }

    private static Dictionary<string, double> Errors => new() { ["U1"] = 0.43, ["L10"] = 0.1 };

    private static SolvedNetwork Solve(string file)
    {
        Assert.SkipWhen(Repository.Root is null, "the tests run outside a clone, without fixtures");
        byte[] Read(string name) => File.ReadAllBytes(Path.Combine(Repository.Root!, "fixtures", "boards", name));
        var token = TestContext.Current.CancellationToken;
        var layout = LayoutReader.Read(Read(file)).Value!;
        var board = BoardBuilder.Build(layout).Value!;
        using var json = JsonDocument.Parse(Read("demo-conditions.json"));
        var conditions = ConditionsReader.Read(json.RootElement, "/conditions", board, layout.Unit).Value!;
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 0.25e-3), token);
        return ThermalSolve.Run(board, conditions, raster, threads: 2, progress: null, token);
    }
}
