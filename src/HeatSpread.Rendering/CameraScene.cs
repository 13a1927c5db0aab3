using HeatSpread.Boards;
using HeatSpread.Thermal;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>The temperatures that a camera sees, pixel by pixel.</summary>
internal sealed class CameraScene : IDisposable
{
    /// <summary>Radius of the camera's blur, m: a lens does not draw sharp edges.</summary>
    private const double BlurMeters = 0.15e-3;

    private readonly int _width;
    private readonly int _height;
    private readonly SKRect _target;

    private CameraScene(SKRect target, SKPath silhouette, float[] celsius)
    {
        (_width, _height) = ((int)target.Width, (int)target.Height);
        _target = target;
        Silhouette = silhouette;
        Celsius = celsius;
    }

    /// <summary>The board, px; bodies that overhang it are cut at its edge.</summary>
    public SKPath Silhouette { get; }

    /// <summary>One a pixel of the view's target, row by row from the top; meaningless outside the silhouette.</summary>
    public float[] Celsius { get; private set; }

    /// <summary>As <see cref="Celsius"/>, NaN outside the silhouette.</summary>
    public float[] Seen { get; private set; } = [];

    /// <summary>Of what is seen.</summary>
    public ValueRange Range { get; private set; }

    public SKPoint Coldest { get; private set; }

    public SKPoint Hottest { get; private set; }

    public static CameraScene Of(Board board, TemperatureField field, BoardSide side, PlanView view)
    {
        var surface = new ValueSurface(field.Grid, side == BoardSide.Top ? field.TopFaceCelsius : field.BottomFaceCelsius);
        using var outline = view.PathOf(board.Outline);
        var scene = new CameraScene(view.Target, view.PathOf(board.Outline), surface.Pixels(view));
        using var visible = Coverage(outline, view.Target);
        for (int i = 0; i < board.Parts.Count; i++)
        {
            var part = board.Parts[i];
            if (part.Side != side || part.Body is null || CaseCelsius(part, field.Parts[i]) is not { } celsius) continue;
            using var body = view.PathOf(part.Body);
            using var cover = Coverage(body, view.Target);
            scene.Paint(cover, celsius);
        }
        scene.Celsius = GaussianBlur.Apply(scene.Celsius, scene._width, scene._height, (float)(BlurMeters * view.PixelsPerMeter));
        scene.FindExtremes(visible);
        return scene;
    }

    public void Dispose() => Silhouette.Dispose();

    /// <summary>The node named <c>case</c>, else the hottest node, else null: the board's face shows.</summary>
    internal static double? CaseCelsius(Part part, PartTemperatures temperatures)
    {
        if (part.Network is null || temperatures.NodeCelsius.Count == 0) return null;
        for (int node = 0; node < part.Network.Nodes.Count; node++)
            if (part.Network.Nodes[node] == "case") return temperatures.NodeCelsius[node];
        return temperatures.NodeCelsius.Max();
    }

    private static SKBitmap Coverage(SKPath path, SKRect target)
    {
        var cover = new SKBitmap(new SKImageInfo((int)target.Width, (int)target.Height, SKColorType.Alpha8, SKAlphaType.Premul));
        cover.Erase(SKColors.Transparent);
        using var canvas = new SKCanvas(cover);
        using var paint = new SKPaint { IsAntialias = true, Color = SKColors.Black };
        canvas.Translate(-target.Left, -target.Top);
        canvas.DrawPath(path, paint);
        return cover;
    }

    private void Paint(SKBitmap cover, double celsius)
    {
        var covered = cover.GetPixelSpan();
        for (int y = 0; y < _height; y++)
        {
            for (int x = 0; x < _width; x++)
            {
                byte c = covered[y * cover.RowBytes + x];
                if (c > 0) Celsius[y * _width + x] += (float)(celsius - Celsius[y * _width + x]) * c / 255;
            }
        }
    }

    private void FindExtremes(SKBitmap visible)
    {
        Seen = WithoutHidden(visible);
        Range = ValueRange.Of(Seen);
        double near = (Range.Max - Range.Min) * 1e-3;
        Hottest = MiddleOf(Seen, v => v >= Range.Max - near);
        Coldest = MiddleOf(Seen, v => v <= Range.Min + near);
    }

    private float[] WithoutHidden(SKBitmap visible)
    {
        var seen = visible.GetPixelSpan();
        var values = new float[Celsius.Length];
        for (int y = 0; y < _height; y++)
            for (int x = 0; x < _width; x++) values[y * _width + x] = seen[y * visible.RowBytes + x] > 127 ? Celsius[y * _width + x] : float.NaN;
        return values;
    }

    /// <summary>The pixel nearest to the mean place: a body has one temperature, and the mark belongs in its middle, not at its first pixel.</summary>
    private SKPoint MiddleOf(float[] values, Predicate<float> isNear)
    {
        var pixels = new List<(int X, int Y)>();
        for (int i = 0; i < values.Length; i++)
            if (isNear(values[i])) pixels.Add((i % _width, i / _width));
        double middleX = pixels.Average(p => (double)p.X), middleY = pixels.Average(p => (double)p.Y);
        var (column, row) = pixels.MinBy(p => Math.Pow(p.X - middleX, 2) + Math.Pow(p.Y - middleY, 2));
        return new SKPoint(_target.Left + column + 0.5f, _target.Top + row + 0.5f);
    }
}
