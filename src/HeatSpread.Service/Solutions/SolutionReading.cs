using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Service.Layouts;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Solutions;

/// <summary>From the answer that was sent back to the solved board: indices in place of names, metres in place of the layout's unit. The way back of <see cref="AnswerOf"/>.</summary>
internal static class SolutionReading
{
    private const double MetersPerMm = 1e-3, SecondsUnknown = 0;

    /// <param name="answer">As it is stored.</param>
    /// <param name="layout">That was solved.</param>
    /// <param name="conditions">It was solved under.</param>
    /// <param name="solved">Its field.</param>
    public static BoardSolution Read(SolutionAnswer answer, LayoutInUse layout, Conditions conditions, SolvedBoard solved)
    {
        var board = layout.Board;
        var (peak, accuracy) = (answer.Peak, answer.Accuracy);
        return new BoardSolution
        {
            Field = solved.Field,
            Verdict = new(answer.Verdict.Pass, answer.Verdict.Reasons),
            Peak = new(peak.Celsius, peak.Layer, InMeters(layout, peak.At), peak.Net) { GridErrorKelvin = peak.GridErrorKelvin },
            Layers = [.. answer.Layers.Select(l => new LayerSummary(l.Name, l.MaxCelsius, l.MinCelsius, l.MeanCelsius, l.CopperShare))],
            Parts = [.. answer.Parts.Select(Part)],
            Probes = [.. answer.Probes.Select(p => new ProbeReading(p.Name, p.Celsius) { GridErrorKelvin = p.GridErrorKelvin })],
            Currents = [.. conditions.Currents.Zip(answer.Currents, (given, told) => Current(layout, given, told))],
            HotSpots = solved.HotSpots,
            Findings = [.. answer.Findings.Select(finding => Finding(layout, finding))],
            Edits = [.. answer.Edits.Select(edit => Edit(layout, edit))],
            Warnings = answer.Warnings ?? [], // entries of earlier builds have none
            Accuracy = new(accuracy.PitchMm * MetersPerMm, accuracy.Unknowns, accuracy.Iterations, accuracy.RelativeResidual, accuracy.GridErrorKelvin, accuracy.TargetErrorMet),
            Seconds = new(SecondsUnknown, SecondsUnknown, SecondsUnknown, SecondsUnknown, SecondsUnknown, SecondsUnknown),
        };
    }

    /// <summary>Null where the conditions have no converter.</summary>
    public static ConverterReading? Converter(SolutionAnswer answer, Board board) => answer.Converter is not { } told ? null : new(
        told.DutyRatio,
        told.RippleAmps,
        told.InductorAmps,
        told.InputWatts,
        told.OutputWatts,
        [.. told.Losses.Select(loss => new ConverterLoss(Index(board.Parts, part => part.Id, loss.Part), loss.Kind, loss.Watts))],
        told.PartCelsius,
        told.InductorCelsius)
    { Warnings = told.Warnings ?? [] };

    private static Point InMeters(LayoutInUse layout, double[] at) => new(layout.InMeters(at[0]), layout.InMeters(at[1]));

    private static PartSummary Part(PartAnswer part) => new(
        part.Id, part.Watts, part.MaxCelsius, part.LimitCelsius, part.Nodes, [.. part.Terminals.Select(t => new TerminalReading(t.Name, t.Celsius, t.Watts))])
    { GridErrorKelvin = part.GridErrorKelvin };

    private static CurrentSummary Current(LayoutInUse layout, DirectCurrent given, CurrentAnswer told) => new(
        given,
        told.Net,
        new(told.DropMillivolts * 1e-3, told.CopperWatts, told.PeakAmpsPerMm2 * 1e6, Index(layout.Board.Layers, l => l.Name, told.Layer), InMeters(layout, told.At)),
        told.Layer);

    private static Finding Finding(LayoutInUse layout, FindingAnswer told) => new()
    {
        Kind = Enum.GetValues<FindingKind>().Single(kind => JsonNamingPolicy.CamelCase.ConvertName(kind.ToString()) == told.Kind),
        Layer = Index(layout.Board.Layers, layer => layer.Name, told.Layer),
        Net = Index(layout.Board.Nets, net => net.Name, told.Net),
        CutBy = Index(layout.Board.Nets, net => net.Name, told.CutBy),
        Part = Index(layout.Board.Parts, part => part.Id, told.Part),
        Terminal = told.Terminal,
        Path = [.. told.Path.Select(at => InMeters(layout, at))],
        Area = told.Area is { ValueKind: JsonValueKind.Object } area ? Region(layout, area) : null,
        LengthMeters = told.Length is { } length ? layout.InMeters(length) : null,
        WidthMeters = told.Width is { } width ? layout.InMeters(width) : null,
        JumpKelvin = told.JumpKelvin,
        Watts = told.Watts,
        GainKelvin = told.GainKelvin,
        Checked = told.Checked,
        Text = told.Text,
    };

    /// <summary>Of its geometry what a picture shows: areas, and places of vias.</summary>
    private static SuggestedEdit Edit(LayoutInUse layout, EditAnswer told)
    {
        var board = layout.Board;
        int Layer(JsonElement item, string key, int absent) => item.TryGetProperty(key, out var name) ? Index(board.Layers, layer => layer.Name, name.GetString()) : absent;
        int Net(JsonElement item) => item.TryGetProperty("net", out var name) ? Index(board.Nets, net => net.Name, name.GetString()) : -1;
        CopperFeature Copper(JsonElement item) => new() { Layer = Layer(item, "layer", 0), Net = Net(item), IsClear = item.TryGetProperty("clear", out var clear) && clear.GetBoolean(), Area = Region(layout, item.GetProperty("area")) };
        ViaGroup Via(JsonElement item) => new()
        {
            Net = Net(item),
            FromLayer = Layer(item, "from", 0),
            ToLayer = Layer(item, "to", board.Layers.Count - 1),
            Drill = layout.InMeters(item.GetProperty("drill").GetDouble()),
            Plating = 0,
            PlatingConductivity = 0,
            FillConductivity = 0,
            At = [.. item.GetProperty("at").EnumerateArray().Select(at => new Point(layout.InMeters(at[0].GetDouble()), layout.InMeters(at[1].GetDouble())))],
        };
        return new(
            Enum.Parse<EditKind>(told.Kind, ignoreCase: true),
            Index(board.Parts, part => part.Id, told.Part),
            Index(board.Layers, layer => layer.Name, told.Layer),
            Index(board.Nets, net => net.Name, told.Net),
            told.GainKelvin,
            told.Checked,
            told.CopperMm2 * MetersPerMm * MetersPerMm,
            new BoardEdit([.. told.Copper.EnumerateArray().Select(Copper)], [.. told.Vias.EnumerateArray().Select(Via)]),
            [.. told.Reroute.Select(name => Index(board.Nets, net => net.Name, name))],
            told.Text);
    }

    /// <summary>A Polygon or MultiPolygon of our own writing.</summary>
    private static Region Region(LayoutInUse layout, JsonElement geometry)
    {
        var coordinates = geometry.GetProperty("coordinates");
        var polygons = geometry.GetProperty("type").GetString() == "Polygon" ? [coordinates] : coordinates.EnumerateArray().ToArray();
        Point At(JsonElement position) => new(layout.InMeters(position[0].GetDouble()), layout.InMeters(position[1].GetDouble()));
        IReadOnlyList<Point> Ring(JsonElement ring) => [.. ring.EnumerateArray().SkipLast(1).Select(At)];
        return new([.. polygons.Select(rings => new Polygon(Ring(rings[0]), [.. rings.EnumerateArray().Skip(1).Select(Ring)]))]);
    }

    /// <summary>Of the first of that name; -1 for none.</summary>
    private static int Index<T>(IReadOnlyList<T> all, Func<T, string> nameOf, string? name)
    {
        for (int i = 0; i < all.Count; i++)
        {
            if (nameOf(all[i]) == name) return i;
        }
        return -1;
    }
}
