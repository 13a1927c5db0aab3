using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Sets pictures with their captions.</summary>
internal static class PictureSetter
{
    private const float GridGap = 14, CaptionGap = 3, After = 10;

    /// <summary>Of the page's height: a tall picture is made smaller.</summary>
    private const float MostOfPage = 0.72f;

    private const float LeastShrink = 0.82f;

    public static void Set(PageFlow flow, Figure figure)
    {
        var size = Size(figure.Picture, flow.Width * figure.Share, flow.PageHeight * MostOfPage);
        var caption = TextLines.Break(figure.Caption, TextStyle.Note, flow.Width);
        flow.Place(size.Height + CaptionGap + caption.Height + After, (canvas, top) =>
        {
            Draw(canvas, figure.Picture, SKRect.Create(flow.Left, top, size.Width, size.Height));
            caption.Draw(canvas, flow.Left, top + size.Height + CaptionGap);
        });
    }

    public static void Set(PageFlow flow, FigureGrid grid)
    {
        float width = (flow.Width - (grid.Columns - 1) * GridGap) / grid.Columns, mostHeight = RowHeight(flow, grid, width);
        foreach (var figures in grid.Figures.Chunk(grid.Columns))
        {
            SKSize[] sizes = [.. figures.Select(figure => Size(figure.Picture, width, mostHeight))];
            TextLines[] captions = [.. figures.Select(figure => TextLines.Break(figure.Caption, TextStyle.Note, width))];
            float height = sizes.Max(size => size.Height), words = captions.Max(caption => caption.Height);
            flow.Place(height + CaptionGap + words + After, (canvas, top) =>
            {
                for (int i = 0; i < figures.Length; i++)
                {
                    float left = flow.Left + i * (width + GridGap);
                    Draw(canvas, figures[i].Picture, SKRect.Create(left, top, sizes[i].Width, sizes[i].Height));
                    captions[i].Draw(canvas, left, top + sizes[i].Height + CaptionGap);
                }
            });
        }
    }

    /// <summary>Most height of a picture: a little less than the width would give, where one row more fits on a page by that.</summary>
    private static float RowHeight(PageFlow flow, FigureGrid grid, float width)
    {
        float most = flow.PageHeight * MostOfPage, height = grid.Figures.Max(figure => Size(figure.Picture, width, most).Height);
        float words = CaptionGap + After + grid.Figures.Max(figure => TextLines.Break(figure.Caption, TextStyle.Note, width).Height);
        int rows = (int)(flow.PageHeight / (height + words)), count = (grid.Figures.Count + grid.Columns - 1) / grid.Columns;
        float smaller = flow.PageHeight / (rows + 1) - words - 0.5f;
        return count > rows && smaller >= LeastShrink * height ? smaller : most;
    }

    public static SKSize Size(ReportPicture picture, float width, float mostHeight)
    {
        float scale = Math.Min(width / picture.Width, mostHeight / picture.Height);
        return new(picture.Width * scale, picture.Height * scale);
    }

    public static void Draw(SKCanvas canvas, ReportPicture picture, SKRect place)
    {
        if (picture is PixelPicture pixels)
        {
            using var image = SKImage.FromEncodedData(pixels.Png) ?? throw new InvalidOperationException("a picture of the report cannot be read");
            canvas.DrawImage(image, place, new SKSamplingOptions(SKFilterMode.Linear));
        }
        else if (picture is LinePicture lines)
        {
            canvas.Save();
            canvas.Translate(place.Left, place.Top);
            canvas.Scale(place.Width / picture.Width, place.Height / picture.Height);
            lines.Draw(canvas);
            canvas.Restore();
        }
    }
}
