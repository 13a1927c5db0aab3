using HeatSpread.Boards;
using HeatSpread.Insight;

namespace HeatSpread.Rendering.Reports;

/// <summary>What could be changed in the layout: each edit with a picture of its copper.</summary>
internal static class EditSection
{
    private const double Mm2PerSquareMeter = 1e6;

    public static ReportSection Of(ReportSubject subject)
    {
        var edits = subject.Solution.Edits;
        if (edits.Count == 0) return new("Suggested edits", [new Paragraph("None stand with this solution: none were asked for (suggest in the request), or none gains more than the grid's error.")]);
        return new("Suggested edits", [
            new Paragraph("Largest gain first. Each edit was made in the layout and the board solved again on the grid of this solution; gains do not add up. The copper that it adds is edged in dark and light dashes, its vias are rings.") { KeepsWithNext = true },
            .. edits.Select((edit, index) => Entry(subject, edit, index + 1)),
            new Paragraph("Keep-outs, high voltage, fine pitch and assembly are the layout engineer's to check. The geometry of each edit stands in the service's answer in JSON, which also makes the edited layout of it.") { IsNote = true },
        ]);
    }

    private static FindingEntry Entry(ReportSubject subject, SuggestedEdit edit, int number)
    {
        string kind = Kind(edit.Kind);
        return new($"{number}. {kind}", edit.Text, [.. Facts(subject.Board, edit)], Picture(subject, edit, $"Place of edit {number}, {kind}"));
    }

    private static IEnumerable<Fact> Facts(Board board, SuggestedEdit edit)
    {
        double mm2 = edit.AddedCopperSquareMeters * Mm2PerSquareMeter;
        yield return new("Gain", $"{ReportText.Kelvin(edit.GainKelvin)} K at {board.Parts[edit.Part].Id}{(edit.Checked ? ", checked" : ", estimated")}");
        yield return new("Copper added", $"{ReportText.Significant(mm2)} mm²{(mm2 > 0 ? $", {ReportText.Significant(edit.GainKelvin / mm2)} K/mm²" : "")}");
        if (edit.Layer >= 0) yield return new("Layer", board.Layers[edit.Layer].Name);
        if (edit.Net >= 0) yield return new("Net", board.Nets[edit.Net].Name);
        if (edit.Reroute.Count > 0) yield return new("Reroute", string.Join(", ", edit.Reroute.Select(net => board.Nets[net].Name)));
    }

    private static PixelPicture Picture(ReportSubject subject, SuggestedEdit edit, string alt)
    {
        var board = subject.Board;
        Region[] areas = [.. edit.Edit.Copper.Select(copper => copper.Area).OfType<Region>()];
        var mark = new PlaceMark([.. edit.Edit.Vias.SelectMany(via => via.At)], false, areas.Length == 0 ? null : new Region([.. areas.SelectMany(area => area.Polygons)]));
        int layer = edit.Layer >= 0 ? edit.Layer : board.OuterLayer(board.Parts[edit.Part].Side);
        return PlacePicture.Of(subject, layer, mark, edit.Edit.Bounds, alt);
    }

    private static string Kind(EditKind kind) => kind switch
    {
        EditKind.CloseGap => "Close a gap in copper",
        EditKind.GrowPour => "Grow a pour",
        EditKind.AddVias => "Add vias",
        _ => kind.ToString(),
    };
}
