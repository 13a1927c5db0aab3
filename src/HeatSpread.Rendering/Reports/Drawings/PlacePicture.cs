using HeatSpread.Boards;
using HeatSpread.Insight;

namespace HeatSpread.Rendering.Reports;

/// <summary>The place of a finding or an edit on its layer's map: what lies about it, on the scale of the other maps.</summary>
internal static class PlacePicture
{
    private const int Width = 640;
    private const float TextScale = 1.5f;

    /// <summary>Width over height of the picture.</summary>
    private const double Shape = 4.0 / 3;

    /// <summary>Board about the place, as a share of the place's own size.</summary>
    private const double Around = 0.35;

    /// <summary>The least that is shown, as a share of the board, so that a reader sees where it is.</summary>
    private const double LeastShare = 0.3;

    public static PixelPicture Of(ReportSubject subject, Finding finding, string alt) =>
        Of(subject, Layer(subject.Board, finding), Mark(subject.Board, finding), Extent(subject.Board, finding), alt);

    /// <param name="subject">The board.</param>
    /// <param name="layer">Index.</param>
    /// <param name="mark">Where.</param>
    /// <param name="extent">What is to be seen at least, m.</param>
    /// <param name="alt">What it shows, without the layer.</param>
    public static PixelPicture Of(ReportSubject subject, int layer, PlaceMark mark, Box extent, string alt)
    {
        var board = subject.Board;
        var surface = new ValueSurface(subject.Solution.Field.Grid, subject.Solution.Field.RowCelsius[board.Layers[layer].Row]);
        var scale = MapScale.Of(subject);
        var options = scale.Options(Width, TextScale) with { Legend = false };
        var map = new ScalarMap
        {
            Board = board,
            Layer = layer,
            Surface = surface,
            Scale = ColourScale.For(surface.Range, scale.Min, scale.Max, Palettes.Find(Palettes.Default)),
            Unit = "°C",
            Detail = "",
            Options = options,
            Window = Window(board.Outline.Bounds, extent),
            Mark = mark,
        };
        return PixelPicture.Of(map.Draw(), $"{alt}, on the map of layer {board.Layers[layer].Name}");
    }

    private static int Layer(Board board, Finding finding) => finding.Layer >= 0 ? finding.Layer : finding.Part >= 0 ? board.OuterLayer(board.Parts[finding.Part].Side) : 0;

    /// <summary>The line or area itself; where a finding has none, the part that it concerns.</summary>
    private static PlaceMark Mark(Board board, Finding finding)
    {
        bool isLine = finding.Kind is FindingKind.PlaneCut or FindingKind.IsolatedCopper or FindingKind.QuietGroundBridge;
        return finding.Path.Count > 0 || finding.Area is not null
            ? new(finding.Path, isLine, finding.Area)
            : new([], false, finding.Part < 0 ? null : board.Parts[finding.Part].Body);
    }

    private static Box Extent(Board board, Finding finding)
    {
        var extent = finding.Path.Aggregate(Box.Empty, (box, p) => box.Include(p));
        if (finding.Area is not null) extent = extent.Include(finding.Area.Bounds);
        if (finding.Part >= 0 && board.Parts[finding.Part] is { } part) extent = extent.Include(part.Terminals.Aggregate(part.Body?.Bounds ?? Box.Empty, (box, terminal) => box.Include(terminal.Pad.Bounds)));
        return extent.Width >= 0 ? extent : board.Outline.Bounds;
    }

    /// <summary>A box of the picture's shape about the place, moved to lie on the board as far as it can.</summary>
    internal static Box Window(Box board, Box place)
    {
        double width = Math.Max(place.Width * (1 + 2 * Around), LeastShare * board.Width), height = Math.Max(place.Height * (1 + 2 * Around), LeastShare * board.Height);
        width = Math.Max(width, height * Shape);
        height = width / Shape;
        double x = Start(board.MinX, board.MaxX, (place.MinX + place.MaxX) / 2, width), y = Start(board.MinY, board.MaxY, (place.MinY + place.MaxY) / 2, height);
        return new(x, y, x + width, y + height);
    }

    private static double Start(double min, double max, double centre, double length) =>
        length >= max - min ? (min + max - length) / 2 : Math.Clamp(centre - length / 2, min, max - length);
}
