using HeatSpread.Boards;
using HeatSpread.Thermal;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>The temperatures that a camera sees, pixel by pixel.</summary>
internal sealed class CameraScene : IDisposable
{
    /// <summary>Radius of the camera's blur, m: a lens does not draw sharp edges.</summary>
    private const double BlurMeters = 0.15e-3;

    private readonly int width;
    private readonly int height;
    private readonly SKRect target;

    private CameraScene(SKRect target, SKPath silhouette, float[] celsius)
    {
        (width, height) = ((int)target.Width, (int)target.Height);
        this.target = target;
        Silhouette = silhouette;
        Celsius = celsius;
    }

    /// <summary>Board and bodies, px.</summary>
    public SKPath Silhouette { get; }

    /// <summary>One a pixel of the view's target, row by row from the top; meaningless outside the silhouette.</summary>
    public float[] Celsius { get; private set; }

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
        scene.Celsius = GaussianBlur.Apply(scene.Celsius, scene.width, scene.height, (float)(BlurMeters * view.PixelsPerMeter));
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
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                byte c = covered[y * cover.RowBytes + x];
                if (c > 0) Celsius[y * width + x] += (float)(celsius - Celsius[y * width + x]) * c / 255;
            }
        }
    }

    private void FindExtremes(SKBitmap visible)
    {
        var seen = visible.GetPixelSpan();
        float min = float.PositiveInfinity, max = float.NegativeInfinity;
        for (int y = 0; y < height; y++)
        {
            for (int x = 0; x < width; x++)
            {
                if (seen[y * visible.RowBytes + x] < 128) continue;
                float v = Celsius[y * width + x];
                var at = new SKPoint(target.Left + x + 0.5f, target.Top + y + 0.5f);
                if (v < min) (min, Coldest) = (v, at);
                if (v > max) (max, Hottest) = (v, at);
            }
        }
        Range = new ValueRange(min, max);
    }
}
