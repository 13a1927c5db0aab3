using HeatSpread.Boards;

namespace HeatSpread.Rendering.Reports;

/// <summary>The board: its outline with the parts, and its stack row by row.</summary>
internal static class BoardSection
{
    public static ReportSection Of(ReportSubject subject)
    {
        var board = subject.Board;
        return new("Board", [
            new FactList([.. Facts(board)]),
            BoardDrawing.Of(board),
            new Figure(StackDrawing.Of(subject), "The stack, top to bottom; thin rows are drawn thicker than they are. k is the thermal conductivity in the plane / through the row, W/(m·K).", 0.86f),
            Stack(subject),
        ]);
    }

    private static IEnumerable<Fact> Facts(Board board)
    {
        var box = board.Outline.Bounds;
        yield return new("Outline", $"{ReportText.Millimetres(box.Width)} × {ReportText.Millimetres(box.Height)} mm over all, {ReportText.Significant(board.Outline.Polygons.Sum(p => p.Area) * 1e6, 4)} mm² of board");
        yield return new("Thickness", $"{ReportText.Millimetres(board.Rows.Sum(row => row.Thickness))} mm, {ResultSection.Count(board.Layers.Count, "copper layer", "copper layers")}");
        yield return new("Vias", ResultSection.Count(board.Vias.Sum(group => group.At.Count), "hole", "holes"));
        yield return new("Parts", $"{board.Parts.Count}, of which {board.Parts.Count(part => part.Side == BoardSide.Bottom)} on the bottom");
        yield return new("Nets", $"{board.Nets.Count}");
    }

    private static ReportTable Stack(ReportSubject subject)
    {
        TableColumn[] columns = [new("Row"), new("Kind"), new("Thickness, µm", true), new("Material"), new("k in plane, W/(m·K)", true), new("k through, W/(m·K)", true), new("k of copper, W/(m·K)", true), new("Copper share, %", true)];
        return new("Stack", columns, [.. subject.Board.Rows.Select((row, index) => new TableRow([
            row.Name ?? $"{index + 1}",
            Kind(row.Kind),
            ReportText.Micrometres(row.Thickness),
            subject.RowMaterials[index] ?? "as given",
            ReportText.Significant(row.Fill.InPlane),
            ReportText.Significant(row.Fill.Through),
            row.Kind == StackRowKind.Copper ? ReportText.Significant(row.CopperConductivity) : ReportText.None,
            CopperShare(subject, index) is { } share ? ReportText.Percent(share) : ReportText.None,
        ]))])
        { Note = "In a copper row the material and its conductivities are those of the stuff where there is no copper. The copper share is of the board's area." };
    }

    public static string Kind(StackRowKind kind) => kind switch { StackRowKind.Mask => "mask", StackRowKind.Copper => "copper", _ => "dielectric" };

    /// <summary>Of a copper row; null for others.</summary>
    public static double? CopperShare(ReportSubject subject, int row)
    {
        for (int layer = 0; layer < subject.Board.Layers.Count; layer++)
        {
            if (subject.Board.Layers[layer].Row == row) return subject.Solution.Layers[layer].CopperShare;
        }
        return null;
    }
}
