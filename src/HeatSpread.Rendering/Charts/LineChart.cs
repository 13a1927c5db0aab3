using System.Globalization;
using System.Text;
using System.Text.RegularExpressions;
using SkiaSharp;

namespace HeatSpread.Rendering.Charts;

/// <summary>
/// Lines and points over two axes. Made to be read in grey: lines differ by dashes and lightness, and each carries its name at its end.
/// </summary>
/// <param name="Title">Above it.</param>
/// <param name="X">To the right.</param>
/// <param name="Y">Up.</param>
/// <param name="Series">The first six differ in style.</param>
public sealed partial record LineChart(string Title, ChartAxis X, ChartAxis Y, IReadOnlyList<ChartSeries> Series)
{
    private const double HeightShare = 0.62;

    private static readonly (SKColor Colour, float[]? Dashes)[] styles =
    [
        (new(0x0B, 0x4F, 0x6C), null), (new(0xB3, 0x54, 0x1E), [7, 3.5f]), (new(0x4A, 0x4E, 0x54), [2, 2.6f]), (new(0x1B, 0x87, 0x7A), [10, 3, 2, 3]), (new(0x7A, 0x3B, 0x8F), [4, 2]), (new(0x96, 0x7A, 0x00), [12, 4]),
    ];

    /// <param name="width">Pixels, 240 to 4096.</param>
    public byte[] Png(int width)
    {
        int height = HeightOf(width);
        return Rendering.Png.Draw(width, height, Theme.Paper, canvas => Draw(canvas, width, height));
    }

    /// <param name="width">User units, 240 to 4096.</param>
    /// <returns>UTF-8; text is text.</returns>
    public byte[] Svg(int width)
    {
        using var stream = new MemoryStream();
        using (var canvas = SKSvgCanvas.Create(SKRect.Create(width, HeightOf(width)), stream)) Draw(canvas, width, HeightOf(width));
        return Numbered(stream.ToArray());
    }

    /// <summary>Clips are numbered through the whole process; here from 0, so that the same chart is the same bytes.</summary>
    private static byte[] Numbered(byte[] svg)
    {
        var names = new Dictionary<string, string>();
        string text = ClipName().Replace(Encoding.UTF8.GetString(svg), match => names.TryGetValue(match.Value, out string? known) ? known : names[match.Value] = string.Create(CultureInfo.InvariantCulture, $"clip{names.Count}"));
        return Encoding.UTF8.GetBytes(text);
    }

    [GeneratedRegex(@"\bcl_[0-9a-f]+\b")]
    private static partial Regex ClipName();

    private static int HeightOf(int width) => width is >= 240 and <= 4096
        ? (int)Math.Round(width * HeightShare)
        : throw new ArgumentOutOfRangeException(nameof(width), $"width must be 240 to 4096; it is {width}");

    /// <summary>Onto any canvas, from its origin.</summary>
    public void Draw(SKCanvas canvas, int width, int height)
    {
        ArgumentNullException.ThrowIfNull(canvas);
        var sizes = new PictureSizes(width);
        var points = Series.SelectMany(series => series.Points).Where(point => double.IsFinite(point.X) && double.IsFinite(point.Y)).ToArray();
        var scaleX = X.Over(points.Select(point => point.X), Math.Clamp(width / 90, 2, 8));
        var scaleY = Y.Over(Series.SelectMany(Reach), Math.Clamp(height / 60, 2, 8));
        using var small = Lettering.Font(sizes.Small);
        using var text = Lettering.Font(sizes.Text);
        float left = sizes.Margin * 1.4f + sizes.Text * 1.4f + scaleY.Ticks.Select(tick => small.MeasureText(tick.Text)).DefaultIfEmpty(0).Max();
        float names = Math.Min(width * 0.28f, Series.Where(series => series.Name.Length > 0).Select(series => text.MeasureText(series.Name)).DefaultIfEmpty(0).Max() + sizes.Text);
        var area = new SKRect(left, sizes.Title * 2.8f, width - sizes.Margin - Math.Max(names, sizes.Text), height - sizes.Text * 4.2f);
        var plot = new Plot(canvas, area, scaleX, scaleY, sizes);
        plot.DrawGrid();
        using (var title = Lettering.Font(sizes.Title, strong: true))
        using (var ink = new SKPaint { IsAntialias = true, Color = Theme.Ink })
        {
            canvas.DrawText(Lettering.Fit(Title, title, width - 2 * sizes.Margin), sizes.Margin, sizes.Title * 1.7f, SKTextAlign.Left, title, ink);
            canvas.DrawText(X.Title, area.MidX, height - sizes.Text * 1.1f, SKTextAlign.Center, text, ink);
            canvas.Save();
            canvas.RotateDegrees(-90, sizes.Margin + sizes.Text * 0.4f, area.MidY);
            canvas.DrawText(Y.Title, sizes.Margin + sizes.Text * 0.4f, area.MidY + sizes.Text * 0.4f, SKTextAlign.Center, text, ink);
            canvas.Restore();
        }
        canvas.Save();
        canvas.ClipRect(SKRect.Inflate(area, sizes.Line * 3, sizes.Line * 3));
        for (int i = 0; i < Series.Count; i++) plot.DrawSeries(Series[i], styles[i % styles.Length].Colour, styles[i % styles.Length].Dashes);
        canvas.Restore();
        plot.DrawNames([.. Series.Select((series, i) => (series, styles[i % styles.Length].Colour))], width - sizes.Margin * 0.5f);
    }

    private static IEnumerable<double> Reach(ChartSeries series) =>
        series.Points.SelectMany((point, i) => i < series.Bars.Count ? new[] { point.Y - series.Bars[i], point.Y + series.Bars[i] } : [point.Y]);
}
