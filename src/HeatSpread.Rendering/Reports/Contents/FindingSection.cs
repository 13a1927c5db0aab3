using HeatSpread.Boards;
using HeatSpread.Insight;

namespace HeatSpread.Rendering.Reports;

/// <summary>Why it is hot: each finding with a picture of its place.</summary>
internal static class FindingSection
{
    /// <summary>Findings with a picture; the rest are a list.</summary>
    private const int MostPictures = 12;

    /// <summary>Findings told in all.</summary>
    private const int Most = 40;

    public static ReportSection Of(ReportSubject subject)
    {
        var findings = subject.Solution.Findings;
        if (findings.Count == 0) return new("Findings", [new Paragraph("None: no cut, neck, starved terminal or idle copper was found that costs more than the thresholds of the search.")]);
        var blocks = new List<ReportBlock>
        {
            new Paragraph("Largest gain first. A gain is what the part named would cool by if the finding were mended. “Checked” means that the board was solved again with the edit made, on the grid of this solution; "
                + "“estimated” that it was solved with the edit on a coarser grid only. Gains do not add up. The pictures are on the scale of the temperature maps, on the layer concerned; the place is a line of dark and light dashes, or rings of them.") { KeepsWithNext = true },
        };
        blocks.AddRange(findings.Take(MostPictures).Select((finding, index) => Entry(subject, finding, index + 1)));
        if (findings.Count > MostPictures) blocks.Add(Rest(subject, findings));
        if (findings.Count > Most) blocks.Add(new Paragraph($"{findings.Count - Most} more stand in the service's answer in JSON.") { IsNote = true });
        return new("Findings", blocks);
    }

    private static FindingEntry Entry(ReportSubject subject, Finding finding, int number) =>
        new($"{number}. {Kind(finding.Kind)}", finding.Text, [.. Facts(subject.Board, finding)], PlacePicture.Of(subject, finding, $"Place of finding {number}, {Kind(finding.Kind)}"));

    private static IEnumerable<Fact> Facts(Board board, Finding finding)
    {
        yield return new("Gain", Gain(board, finding));
        string place = string.Join(", ", Place(board, finding));
        if (place.Length > 0) yield return new("Where", place);
        if (finding.LengthMeters is { } length) yield return new("Length", $"{ReportText.Significant(length * 1e3)} mm");
        if (finding.WidthMeters is { } width) yield return new("Width", $"{ReportText.Significant(width * 1e3)} mm");
        if (finding.JumpKelvin is { } jump) yield return new("Fall of temperature", $"{ReportText.Kelvin(jump)} K");
        if (finding.Watts is { } watts) yield return new("Heat on the way", $"{ReportText.Watts(watts)} W");
    }

    private static IEnumerable<string> Place(Board board, Finding finding)
    {
        if (finding.Layer >= 0) yield return $"layer {board.Layers[finding.Layer].Name}";
        if (finding.Net >= 0) yield return $"net {board.Nets[finding.Net].Name}";
        if (finding.CutBy >= 0) yield return $"against net {board.Nets[finding.CutBy].Name}";
        if (finding.Part >= 0) yield return finding.Terminal is null ? $"part {board.Parts[finding.Part].Id}" : $"part {board.Parts[finding.Part].Id}, terminal {finding.Terminal}";
    }

    private static string Gain(Board board, Finding finding) => finding.GainKelvin is not { } gain ? "none above the grid's error"
        : $"{ReportText.Kelvin(gain)} K{(finding.Part < 0 ? "" : $" at {board.Parts[finding.Part].Id}")}, {(finding.Checked ? "checked" : "estimated")}";

    private static ReportTable Rest(ReportSubject subject, IReadOnlyList<Finding> findings) => new(
        "Further findings",
        [new("No.", true), new("Finding"), new("What"), new("Gain")],
        [.. findings.Index().Skip(MostPictures).Take(Most - MostPictures).Select(f => new TableRow([$"{f.Index + 1}", Kind(f.Item.Kind), f.Item.Text, Gain(subject.Board, f.Item)]))]);

    private static string Kind(FindingKind kind) => kind switch
    {
        FindingKind.PlaneCut => "A cut through copper of one net",
        FindingKind.IsolatedCopper => "Copper that hangs on a neck",
        FindingKind.StarvedTerminal => "A terminal with little copper",
        FindingKind.ViaReliance => "Heat that relies on vias",
        FindingKind.IdleVias => "Vias that carry little",
        FindingKind.CrowdedSources => "Sources that warm each other",
        FindingKind.QuietGroundBridge => "Quiet ground beside ground",
        FindingKind.SwitchingArea => "A switching node as radiator",
        _ => kind.ToString(),
    };
}
