using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Service.Layouts;

namespace HeatSpread.Service.Solutions;

/// <summary>Why it is hot: one thing in the layout. What does not apply is null.</summary>
/// <param name="Kind"><c>planeCut</c>, <c>isolatedCopper</c>, <c>starvedTerminal</c>, <c>viaReliance</c>, <c>idleVias</c>, <c>crowdedSources</c>, <c>quietGroundBridge</c> or <c>switchingArea</c>.</param>
/// <param name="Layer">Name.</param>
/// <param name="Net">Name.</param>
/// <param name="CutBy">Name of the net whose copper cuts, or that on the other side.</param>
/// <param name="Part">Id.</param>
/// <param name="Terminal">Name.</param>
/// <param name="Path">A line, or places, in the layout's unit.</param>
/// <param name="Area">Geometry in the layout's unit.</param>
/// <param name="Length">In the layout's unit.</param>
/// <param name="Width">In the layout's unit.</param>
/// <param name="JumpKelvin">Greatest fall of temperature across.</param>
/// <param name="Watts">Heat on the way concerned.</param>
/// <param name="GainKelvin">What the part would cool by if this were mended; null where that is less than the grid's error, or nothing is to be mended.</param>
/// <param name="Checked">A second solve with the edit gave the gain.</param>
/// <param name="Text">One or two sentences.</param>
internal sealed record FindingAnswer(
    string Kind,
    string? Layer,
    string? Net,
    string? CutBy,
    string? Part,
    string? Terminal,
    IReadOnlyList<double[]> Path,
    JsonElement? Area,
    double? Length,
    double? Width,
    double? JumpKelvin,
    double? Watts,
    double? GainKelvin,
    bool Checked,
    string Text)
{
    public static FindingAnswer Of(LayoutInUse layout, Finding finding) => new(
        JsonNamingPolicy.CamelCase.ConvertName(finding.Kind.ToString()),
        finding.Layer < 0 ? null : layout.Board.Layers[finding.Layer].Name,
        Name(layout.Board, finding.Net),
        Name(layout.Board, finding.CutBy),
        finding.Part < 0 ? null : layout.Board.Parts[finding.Part].Id,
        finding.Terminal,
        [.. finding.Path.Select(layout.InUnit)],
        finding.Area is { } area ? JsonElement.Parse(LayoutWriter.Write(area.Map(layout.Rounded))).GetProperty("area") : null,
        finding.LengthMeters is { } length ? layout.InUnit(length) : null,
        finding.WidthMeters is { } width ? layout.InUnit(width) : null,
        finding.JumpKelvin,
        finding.Watts,
        finding.GainKelvin,
        finding.Checked,
        finding.Text);

    public static string? Name(Board board, int net) => net < 0 ? null : board.Nets[net].Name;
}

/// <summary>An edit that cools a part; <c>POST /v1/layouts/{id}/edits</c> makes it.</summary>
/// <param name="Kind"><c>closeGap</c>, <c>growPour</c> or <c>addVias</c>.</param>
/// <param name="Part">Id of the part that it cools most.</param>
/// <param name="Layer">Name; null for vias.</param>
/// <param name="Net">Name.</param>
/// <param name="GainKelvin">Of the part, by a second solve.</param>
/// <param name="Checked">Always true.</param>
/// <param name="CopperMm2">Copper that it puts where the net had none, over all layers.</param>
/// <param name="KelvinPerMm2">Gain for each mm² of it; null where it puts none.</param>
/// <param name="Reroute">Names of nets whose tracks it takes off the layer.</param>
/// <param name="Text">What to do.</param>
/// <param name="Copper">Painted after the layout's copper, in the form of a layout.</param>
/// <param name="Vias">Added to the layout's, in the form of a layout.</param>
internal sealed record EditAnswer(
    string Kind, string Part, string? Layer, string? Net, double GainKelvin, bool Checked, double CopperMm2, double? KelvinPerMm2, IReadOnlyList<string> Reroute, string Text, JsonElement Copper, JsonElement Vias)
{
    private const double Mm2PerSquareMeter = 1e6;

    public static EditAnswer Of(LayoutInUse layout, SuggestedEdit edit)
    {
        var board = layout.Board;
        double mm2 = edit.AddedCopperSquareMeters * Mm2PerSquareMeter;
        var written = JsonElement.Parse(LayoutWriter.Write(new LayoutEdit([.. edit.Edit.Copper.Select(Copper)], [.. edit.Edit.Vias.Select(Via)])));
        JsonElement List(string key) => written.TryGetProperty(key, out var list) ? list : JsonElement.Parse("[]");
        return new(
            JsonNamingPolicy.CamelCase.ConvertName(edit.Kind.ToString()),
            board.Parts[edit.Part].Id,
            edit.Layer < 0 ? null : board.Layers[edit.Layer].Name,
            FindingAnswer.Name(board, edit.Net),
            edit.GainKelvin,
            edit.Checked,
            mm2,
            mm2 > 0 ? edit.GainKelvin / mm2 : null,
            [.. edit.Reroute.Select(net => board.Nets[net].Name)],
            edit.Text,
            List("copper"),
            List("vias"));

        CopperDocument Copper(CopperFeature copper) => new()
        {
            Layer = board.Layers[copper.Layer].Name,
            Net = FindingAnswer.Name(board, copper.Net),
            Clear = copper.IsClear,
            Area = copper.Area?.Map(layout.Rounded),
            Clearance = layout.InUnit(copper.Clearance),
        };

        ViaDocument Via(ViaGroup via) => new()
        {
            Net = FindingAnswer.Name(board, via.Net),
            From = board.Layers[via.FromLayer].Name,
            To = board.Layers[via.ToLayer].Name,
            Drill = layout.InUnit(via.Drill),
            PlatingUm = via.Plating * 1e6,
            PlatingConductivity = via.PlatingConductivity,
            Fill = via.FillConductivity > 0 ? null : "none",
            FillConductivity = via.FillConductivity > 0 ? via.FillConductivity : null,
            Pad = layout.InUnit(via.Pad),
            Clearance = layout.InUnit(via.Clearance),
            At = [.. via.At.Select(layout.Rounded)],
        };
    }
}
