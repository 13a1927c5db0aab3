using HeatSpread.Insight;

namespace HeatSpread.Rendering.Reports;

/// <summary>Temperatures against limits: parts, their nodes and terminals, probes, layers, hot spots.</summary>
internal static class TemperatureSection
{
    /// <summary>Parts of which nodes and terminals are listed; the answer of the service has them all.</summary>
    private const int MostInside = 8;

    /// <summary>Terminals of one part that are listed, those with most heat.</summary>
    private const int MostTerminals = 8;

    public static ReportSection Of(ReportSubject subject)
    {
        var solution = subject.Solution;
        var blocks = new List<ReportBlock>();
        if (solution.Parts.Count > 0) blocks.Add(Parts(subject));
        blocks.AddRange(Inside(subject));
        if (solution.Probes.Count > 0) blocks.Add(Probes(subject));
        blocks.Add(Layers(subject));
        if (solution.HotSpots.Count > 0) blocks.Add(HotSpots(subject));
        return new("Temperatures and limits", blocks);
    }

    private static ReportTable Parts(ReportSubject subject)
    {
        TableColumn[] columns = [new("Part"), new("Kind"), new("Side"), new("Heat, W", true), new("Hottest, °C", true), new("±, K", true), new("Limit, °C", true), new("Margin, K", true), new("Limit kept")];
        var sorted = subject.Solution.Parts.Zip(subject.Board.Parts).OrderBy(pair => pair.First.MarginKelvin ?? double.PositiveInfinity).ThenByDescending(pair => pair.First.MaxCelsius);
        return new("Parts", columns, [.. sorted.Select(pair => new TableRow([
            pair.First.Id,
            pair.Second.Kind,
            ReportText.Side(pair.Second.Side),
            ReportText.Watts(pair.First.Watts),
            ReportText.Kelvin(pair.First.MaxCelsius),
            pair.First.GridErrorKelvin is { } error ? ReportText.Error(error) : ReportText.None,
            pair.First.LimitCelsius is { } limit ? ReportText.Given(limit) : ReportText.None,
            ReportText.Kelvin(pair.First.MarginKelvin),
            pair.First.MarginKelvin is { } margin ? margin < 0 ? "NO" : "yes" : "no limit",
        ]) { IsStrong = pair.First.MarginKelvin < 0 })])
        { Note = "Least margin first, then the hottest. ± is the bound on the grid's error of that temperature." };
    }

    private static IEnumerable<ReportBlock> Inside(ReportSubject subject)
    {
        var all = subject.Solution.Parts.Where(part => (part.Watts != 0 || part.LimitCelsius is not null) && part.Nodes.Count + part.Terminals.Count > 0).OrderByDescending(part => part.MaxCelsius).ToList();
        if (all.Count == 0) yield break;
        bool isCut = all.Count > MostInside || all.Take(MostInside).Any(part => part.Terminals.Count > MostTerminals);
        yield return new ReportTable(
            "Nodes and terminals of parts that make heat or have a limit",
            [new("Part"), new("Node or terminal"), new("°C", true), new("Heat into the board, W", true)],
            [.. all.Take(MostInside).SelectMany(Rows)])
        {
            Note = isCut ? $"The {Math.Min(MostInside, all.Count)} hottest parts, and of each the {MostTerminals} terminals with most heat; the service's answer in JSON has all." : null,
        };
    }

    private static IEnumerable<TableRow> Rows(PartSummary part)
    {
        var nodes = part.Nodes.Select(node => new TableRow([part.Id, $"node {node.Key}", ReportText.Kelvin(node.Value), ReportText.None]));
        var terminals = part.Terminals.OrderByDescending(terminal => Math.Abs(terminal.Watts)).Take(MostTerminals)
            .Select(terminal => new TableRow([part.Id, $"terminal {terminal.Name}", ReportText.Kelvin(terminal.Celsius), ReportText.Watts(terminal.Watts)]));
        return nodes.Concat(terminals);
    }

    private static ReportTable Probes(ReportSubject subject)
    {
        var board = subject.Board;
        return new("Probes", [new("Probe"), new("Layer"), new("at, mm"), new("°C", true), new("±, K", true)], [.. subject.Solution.Probes.Zip(board.Probes, (reading, probe) => new TableRow([
            reading.Name, board.Layers[probe.Layer].Name, ReportText.At(probe.At), ReportText.Kelvin(reading.Celsius), reading.GridErrorKelvin is { } error ? ReportText.Error(error) : ReportText.None,
        ]))]);
    }

    private static ReportTable Layers(ReportSubject subject) => new(
        "Copper layers, laminate between the copper included",
        [new("Layer"), new("Hottest, °C", true), new("Mean, °C", true), new("Coolest, °C", true), new("Copper share, %", true)],
        [.. subject.Solution.Layers.Select(layer => new TableRow([
            layer.Name, ReportText.Kelvin(layer.MaxCelsius), ReportText.Kelvin(layer.MeanCelsius), ReportText.Kelvin(layer.MinCelsius), ReportText.Percent(layer.CopperShare),
        ]))]);

    private static ReportTable HotSpots(ReportSubject subject) => new(
        "Hot spots",
        [new("Rank", true), new("°C", true), new("Layer"), new("at, mm"), new("Net"), new("Part")],
        [.. subject.Solution.HotSpots.Select(spot => new TableRow([
            $"{spot.Rank}", ReportText.Kelvin(spot.Celsius), subject.Board.Layers[spot.Layer].Name, ReportText.At(spot.At), spot.Net ?? ReportText.None, spot.Part ?? ReportText.None,
        ]))]);
}
