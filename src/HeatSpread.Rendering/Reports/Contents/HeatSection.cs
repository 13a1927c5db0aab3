using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering.Reports;

/// <summary>Where the heat leaves the board, and by what it leaves the parts.</summary>
internal static class HeatSection
{
    /// <summary>Parts whose paths are told, those with most heat.</summary>
    private const int MostParts = 8;

    public static ReportSection Of(ReportSubject subject)
    {
        var heat = subject.Solution.Field.Heat;
        (string Name, double Watts)[] ways = [.. Ways(subject)];
        var blocks = new List<ReportBlock> { new Figure(HeatBars.Of(ways, heat.DissipatedWatts), "Heat by way out.", 0.86f), Table(ways, heat) };
        var parts = subject.Board.Parts.Zip(subject.Solution.Field.Parts).Where(pair => pair.Second.Watts > 0 && pair.Second.Paths.Count > 0).OrderByDescending(pair => pair.Second.Watts).ToList();
        if (parts.Count > 0)
        {
            blocks.Add(new ReportTable(
                "By what the parts' heat leaves them",
                [new("Part"), new("By"), new("Heat, W", true), new("Share of the part's, %", true)],
                [.. parts.Take(MostParts).SelectMany(pair => pair.Second.Paths.OrderByDescending(path => path.Watts).Select(path => Row(subject.Board, pair.First, pair.Second, path)))])
            {
                Note = parts.Count > MostParts ? $"The {MostParts} parts with most heat; the service's answer in JSON has all." : null,
            });
        }
        return new("Where the heat goes", blocks);
    }

    private static IEnumerable<(string, double)> Ways(ReportSubject subject)
    {
        var heat = subject.Solution.Field.Heat;
        yield return ("Top", heat.TopWatts);
        yield return ("Bottom", heat.BottomWatts);
        yield return ("Edges", heat.EdgesWatts);
        foreach (var (contact, watts) in subject.Conditions.Contacts.Zip(heat.ContactWatts)) yield return ($"Contact {contact.Name}", watts);
        yield return ("Parts to the ambient", heat.PartsWatts);
    }

    private static ReportTable Table((string Name, double Watts)[] ways, HeatBalance heat)
    {
        string Share(double watts) => heat.DissipatedWatts > 0 ? ReportText.Percent(watts / heat.DissipatedWatts) : ReportText.None;
        return new("Heat balance", [new("Way out"), new("Heat, W", true), new("Share of the heat made, %", true)], [
            .. ways.Select(way => new TableRow([way.Name, ReportText.Watts(way.Watts), Share(way.Watts)])),
            new TableRow(["Sum given off", ReportText.Watts(ways.Sum(way => way.Watts)), Share(ways.Sum(way => way.Watts))]) { IsStrong = true },
            new TableRow(["Made in parts and copper", ReportText.Watts(heat.DissipatedWatts), Share(heat.DissipatedWatts)]) { IsStrong = true },
            new TableRow(["Made less given off", ReportText.Significant(heat.ImbalanceWatts, 2), ReportText.None]),
        ]);
    }

    private static TableRow Row(Board board, Part part, PartTemperatures solved, PartPath path) =>
        new([part.Id, Way(board, path), ReportText.Watts(path.Watts), ReportText.Percent(path.Watts / solved.Watts)]);

    private static string Way(Board board, PartPath path)
    {
        string net = path.Net < 0 ? "copper of no net" : board.Nets[path.Net].Name;
        return path.Kind switch
        {
            PathKind.OuterCopper => $"{net} on {board.Layers[path.Layer].Name}",
            PathKind.Vias => $"vias of {net}",
            PathKind.Laminate => "laminate",
            PathKind.Face => "the face over its pads",
            PathKind.Ambient => "its own links to the ambient",
            _ => "less what others put into the same place",
        };
    }
}
