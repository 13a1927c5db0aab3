using HeatSpread.Insight.Comparison;
using HeatSpread.Thermal.Revisions;

namespace HeatSpread.Rendering.Reports;

/// <summary>What changed against the baseline, by how much, and what made it so.</summary>
internal static class ComparisonSection
{
    private const int MapWidth = 960;
    private const float MapTextScale = 1.4f;

    /// <summary>Smallest end of the scale, K.</summary>
    private const double LeastScale = 0.01;

    public static ReportSection Of(ReportSubject subject, ReportComparison compared)
    {
        var comparison = compared.Comparison;
        var blocks = new List<ReportBlock>
        {
            new Paragraph($"This board less the baseline, {ScalarMap.Source(compared.Baseline)}: positive where this board is hotter. The hottest place changes by {ReportText.Signed(comparison.PeakDeltaKelvin)} K; "
                + $"the larger bound on the grid's error of both is {ReportText.Error(compared.GridErrorKelvin)} K."),
            new FactList([
                new("Baseline's solution", ReportText.Short(compared.BaselineId)),
                new("Comparison", ReportText.Short(compared.Id)),
                new("Common grid", $"{compared.Grid.Columns} × {compared.Grid.Rows} cells{(compared.SolvedAgain ? "; solved again on it, so that figures may differ a little from those of the other sections" : "")}"),
            ]),
            Parts(comparison),
        };
        foreach (var ledger in comparison.Ledger) blocks.Add(Ledger(ledger));
        if (comparison.Ledger.Count > 0) blocks.Add(new Paragraph("A ledger's entries add up to the change of the part's hottest temperature, whatever changed together: the sum is exact to the solver's tolerance, not to first order.") { IsNote = true });
        if (compared.Maps.Count > 0)
        {
            blocks.Add(new Paragraph($"Difference maps, all on one scale of ± {ReportText.Kelvin(Math.Max(compared.ScaleKelvin, LeastScale))} K. Dark at both ends: the lines of equal difference carry their kelvin with a sign, for reading in grey.") { KeepsWithNext = true });
            blocks.Add(new FigureGrid([.. compared.Maps.Select(map => Map(subject, compared, map.Layer, map.Kelvin))], 2));
        }
        return new("Comparison with the baseline", blocks);
    }

    private static ReportTable Parts(BoardComparison comparison)
    {
        var sorted = comparison.Parts.OrderByDescending(part => Math.Abs(part.DeltaKelvin ?? double.PositiveInfinity));
        return new("Parts, most changed first", [new("Part"), new("Baseline, °C", true), new("This board, °C", true), new("Change, K", true)], [.. sorted.Select(part => new TableRow([
            part.Id,
            part.BaselineCelsius is null ? "not there" : ReportText.Kelvin(part.BaselineCelsius),
            part.Celsius is null ? "not there" : ReportText.Kelvin(part.Celsius),
            part.DeltaKelvin is { } delta ? ReportText.Signed(delta) : ReportText.None,
        ]))]);
    }

    private static ReportTable Ledger(PartLedger ledger) => new(
        $"Ledger of {ledger.Part}: {ReportText.Signed(ledger.DeltaKelvin)} K",
        [new("Change"), new("What it does"), new("K", true)],
        [
            .. ledger.Entries.Select(entry => new TableRow([Kind(entry), entry.Text, Exact(entry.Kelvin)])),
            new TableRow(["Sum of the entries", "", Exact(ledger.Entries.Sum(entry => entry.Kelvin))]) { IsStrong = true },
            new TableRow(["Difference of the two solves", "", Exact(ledger.DeltaKelvin)]) { IsStrong = true },
        ]);

    /// <summary>Two decimals, so that the sum can be followed by hand.</summary>
    private static string Exact(double kelvin)
    {
        string text = Lettering.Number(kelvin, 2);
        return kelvin > 0 && text != "0.00" ? "+" + text : text;
    }

    private static string Kind(LedgerEntry entry)
    {
        string kind = entry.Kind switch
        {
            ChangeKind.CopperAdded => "copper added",
            ChangeKind.CopperRemoved => "copper removed",
            ChangeKind.ViasAdded => "vias added",
            ChangeKind.ViasRemoved => "vias removed",
            ChangeKind.WattsChanged => "watts",
            ChangeKind.StackChanged => "stack",
            ChangeKind.SurfacesChanged => "surfaces",
            ChangeKind.PartChanged => "part",
            ChangeKind.OutlineChanged => "outline",
            _ => "small changes",
        };
        string?[] places = [entry.Net, entry.Layer, entry.Part, entry.Surface];
        return string.Join(", ", places.OfType<string>().Prepend(kind));
    }

    private static Figure Map(ReportSubject subject, ReportComparison compared, int layer, float[] kelvin)
    {
        var options = new MapOptions { Width = MapWidth, TextScale = MapTextScale, MaxCelsius = Math.Max(compared.ScaleKelvin, LeastScale), Isotherms = true };
        byte[] png = DifferenceMap.Draw(compared.Baseline, subject.Board, compared.Grid, kelvin, layer, options);
        var range = ValueRange.Of(kelvin);
        string words = $"{ReportText.Signed(range.Min)} to {ReportText.Signed(range.Max)} K";
        return new(PixelPicture.Of(png, $"Difference map of layer {subject.Board.Layers[layer].Name}: {words} against the baseline"), $"Layer {subject.Board.Layers[layer].Name}: {words} against the baseline.");
    }
}
