using HeatSpread.Boards;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Points at a place on a map: a line, places or an area, in white with a dark rim, so that it shows on every colour and in grey.</summary>
/// <param name="Path">A line, or single places, m; may be empty.</param>
/// <param name="IsLine">The places of <paramref name="Path"/> are one line.</param>
/// <param name="Area">Its edge is drawn; null: none.</param>
internal sealed record PlaceMark(IReadOnlyList<Point> Path, bool IsLine, Region? Area)
{
    public void Draw(SKCanvas canvas, Frame frame)
    {
        using var builder = new SKPathBuilder();
        if (Area is not null)
        {
            using var edge = frame.View.PathOf(Area);
            builder.AddPath(edge);
        }
        if (IsLine && Path.Count > 1)
        {
            using var line = frame.View.PathOf(Path);
            builder.AddPath(line);
        }
        else
        {
            foreach (var place in Path) AddRing(builder, frame.View.ToPixel(place), frame.Sizes.Text * 0.8f);
        }
        using var path = builder.Detach();
        using var paint = new SKPaint { IsAntialias = true, Style = SKPaintStyle.Stroke, StrokeJoin = SKStrokeJoin.Round, StrokeCap = SKStrokeCap.Round, Color = Theme.Ink, StrokeWidth = frame.Sizes.Line * 5.2f };
        canvas.DrawPath(path, paint);
        using var dashes = SKPathEffect.CreateDash([frame.Sizes.Line * 7, frame.Sizes.Line * 5], 0);
        paint.Color = SKColors.White;
        paint.StrokeWidth = frame.Sizes.Line * 2.4f;
        paint.PathEffect = dashes;
        canvas.DrawPath(path, paint);
    }

    private static void AddRing(SKPathBuilder builder, SKPoint centre, float radius) => builder.AddOval(SKRect.Create(centre.X - radius, centre.Y - radius, 2 * radius, 2 * radius));
}
