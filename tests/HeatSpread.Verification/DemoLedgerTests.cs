using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight.Comparison;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Revisions;
using HeatSpread.Verification.Support;
using Xunit;

namespace HeatSpread.Verification;

/// <summary>The ledger of the demo pair: what cost the converter its 18 K.</summary>
public class DemoLedgerTests
{
    [Fact]
    public void TheCutAndTheShrunkenOutputCopperAreTheTwoLargest()
    {
        var comparison = BoardComparison.Of(Solve("demo-unbroken.json"), Solve("demo-cut.json"), null, 0.3, TestContext.Current.CancellationToken);
        foreach (var ledger in comparison.Ledger)
        {
            TestContext.Current.SendDiagnosticMessage("{0} {1:F3} K", ledger.Part, ledger.DeltaKelvin);
            foreach (var entry in ledger.Entries)
            {
                TestContext.Current.SendDiagnosticMessage("  {0,8:F3}  {1}", entry.Kelvin, entry.Text);
                foreach (var piece in entry.Pieces) TestContext.Current.SendDiagnosticMessage("            {0} {1:F2} mm2 {2:F3} K, {3} polygons {4} points", piece.Layer, piece.SquareMeters * 1e6, piece.Kelvin, piece.Area.Polygons.Count, piece.Area.Polygons.Sum(p => p.Rings.Sum(r => r.Count)));
            }
            Assert.Equal(ledger.DeltaKelvin, ledger.Entries.Sum(entry => entry.Kelvin), 1e-5);
        }
    }

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
