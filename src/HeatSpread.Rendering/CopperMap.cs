using System.Globalization;
using System.Runtime.InteropServices;
using HeatSpread.Boards;
using HeatSpread.Thermal;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>The copper of one layer as the solver sees it: the share of copper in each cell, warm on dark laminate.</summary>
public static class CopperMap
{
    private static readonly Palette Shares = Palette.Through("copper", OkLab.FromSrgb(Theme.Laminate), OkLab.FromSrgb(Theme.Copper));

    /// <param name="board">The board.</param>
    /// <param name="raster">Its copper.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="width">Of the picture, 64 to 4096 pixels.</param>
    /// <returns>A PNG, the same bytes for the same input; x to the right and y up on every layer, as seen from the top.</returns>
    /// <exception cref="ArgumentException">The width or the layer is out of range.</exception>
    public static byte[] Draw(Board board, CopperRaster raster, int layer, int width)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(raster);
        ArgumentOutOfRangeException.ThrowIfNegative(layer);
        ArgumentOutOfRangeException.ThrowIfGreaterThanOrEqual(layer, board.Layers.Count);
        var frame = Frame.For(board.Outline.Bounds, width, framed: true);
        return Png.Draw(frame.Width, frame.Height, frame.IsFramed ? Theme.Paper : SKColors.Transparent, canvas =>
        {
            using var outline = frame.View.PathOf(board.Outline);
            DrawCells(canvas, frame, raster, layer, outline);
            if (!frame.IsFramed) return;
            TitleLine.Draw(canvas, frame, board.Layers[layer].Name, Detail(board, raster, layer), ScalarMap.Source(board));
            Legend.DrawShares(canvas, frame, Shares);
        });
    }

    private static string Detail(Board board, CopperRaster raster, int layer)
    {
        double share = raster.Layers[layer].CopperArea / raster.BoardArea;
        double pitch = Math.Max(raster.Grid.PitchX, raster.Grid.PitchY) * 1e3;
        return string.Create(CultureInfo.InvariantCulture, $"copper {100 * share:0} %, cells {pitch:0.###} mm");
    }

    private static void DrawCells(SKCanvas canvas, Frame frame, CopperRaster raster, int layer, SKPath outline)
    {
        var (grid, shares) = (raster.Grid, raster.Layers[layer].CopperShare);
        using var bitmap = new SKBitmap(new SKImageInfo(grid.Columns, grid.Rows, SKColorType.Bgra8888, SKAlphaType.Opaque));
        var pixels = MemoryMarshal.Cast<byte, uint>(bitmap.GetPixelSpan());
        for (int row = 0; row < grid.Rows; row++)
        {
            var line = pixels.Slice((grid.Rows - 1 - row) * bitmap.RowBytes / sizeof(uint), grid.Columns);
            for (int column = 0; column < grid.Columns; column++)
            {
                int cell = row * grid.Columns + column;
                // of the board in the cell: else the board's edge would look bare
                line[column] = (uint)Shares.At(raster.BoardShare[cell] > 0 ? shares[cell] / raster.BoardShare[cell] : 0);
            }
        }
        bitmap.SetImmutable();
        using var image = SKImage.FromBitmap(bitmap);
        // large cells are shown as the squares that they are; small ones are averaged
        bool isCoarse = frame.View.Target.Width >= 1.5 * grid.Columns;
        var sampling = isCoarse ? new SKSamplingOptions(SKFilterMode.Nearest) : new SKSamplingOptions(SKFilterMode.Linear, SKMipmapMode.Linear);
        var toPicture = SKMatrix.CreateScaleTranslation(frame.View.Target.Width / grid.Columns, frame.View.Target.Height / grid.Rows, frame.View.Target.Left, frame.View.Target.Top);
        using var shader = image.ToShader(SKShaderTileMode.Clamp, SKShaderTileMode.Clamp, sampling, toPicture);
        using var paint = new SKPaint { IsAntialias = true, Shader = shader };
        canvas.DrawPath(outline, paint);
    }
}
