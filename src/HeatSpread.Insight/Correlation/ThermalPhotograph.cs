using HeatSpread.Boards;

namespace HeatSpread.Insight.Correlation;

/// <param name="Column">In the picture, from 0, whole numbers at the pixels' centres.</param>
/// <param name="Row">From 0 at the first row of the file.</param>
/// <param name="At">Of the board, m.</param>
public sealed record ReferencePoint(double Column, double Row, Point At);

/// <summary>
/// A thermal photograph of one side of a board as a field of temperatures, laid on the board by two reference points: turned, scaled and shifted, and mirrored where the board was seen from below.
/// </summary>
/// <param name="Celsius"><c>[row * Columns + column]</c>; NaN where there is none.</param>
/// <param name="Columns">Of the picture.</param>
/// <param name="First">A point that is known in both.</param>
/// <param name="Second">Another one, well apart.</param>
/// <param name="Side">That was seen.</param>
/// <param name="StandardUncertainty">Of each pixel, K.</param>
public sealed record ThermalPhotograph(IReadOnlyList<double> Celsius, int Columns, ReferencePoint First, ReferencePoint Second, BoardSide Side, double StandardUncertainty)
{
    public int Rows => Celsius.Count / Columns;

    /// <summary>
    /// Points on an even raster of the board, inside its outline and the picture, as measurements of the outer row. What parts cover is left out: the camera saw them, not the board.
    /// Neighbouring pixels share their errors, so many points do not make a fit better than a few; the uncertainty is for each point alone.
    /// </summary>
    /// <param name="board">The board.</param>
    /// <param name="most">Most points, at least 1.</param>
    public IReadOnlyList<MeasuredPoint> Points(Board board, int most)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentOutOfRangeException.ThrowIfLessThan(most, 1);
        var box = board.Outline.Bounds;
        double step = Math.Sqrt(box.Width * box.Height / most);
        int row = Side == BoardSide.Top ? 0 : board.Rows.Count - 1;
        Region[] covered = [.. board.Parts.Where(part => part.Side == Side && part.Body is not null).Select(part => part.Body!)];
        List<MeasuredPoint> points = [];
        for (double y = box.MinY + step / 2; y < box.MaxY; y += step)
        {
            for (double x = box.MinX + step / 2; x < box.MaxX; x += step)
            {
                var at = new Point(x, y);
                if (!PartAt.Contains(board.Outline, at) || covered.Any(body => PartAt.Contains(body, at))) continue;
                double celsius = At(at);
                if (double.IsFinite(celsius)) points.Add(new($"pixel at {at.X * 1e3:0.0}, {at.Y * 1e3:0.0} mm", new(null, row, at), celsius, StandardUncertainty));
            }
        }
        return points;
    }

    /// <summary>°C at a place of the board, between the four nearest pixels; NaN outside the picture.</summary>
    public double At(Point at)
    {
        var (column, row) = Place(at);
        int left = (int)Math.Floor(column), upper = (int)Math.Floor(row);
        if (left < 0 || upper < 0 || left + 1 >= Columns || upper + 1 >= Rows) return double.NaN;
        double x = column - left, y = row - upper;
        double Pixel(int c, int r) => Celsius[r * Columns + c];
        return (1 - y) * ((1 - x) * Pixel(left, upper) + x * Pixel(left + 1, upper)) + y * ((1 - x) * Pixel(left, upper + 1) + x * Pixel(left + 1, upper + 1));
    }

    /// <summary>The similarity as a complex factor. Rows of a picture run downwards, y of a board upwards; from below x is mirrored as well, which leaves a turn.</summary>
    private (double Column, double Row) Place(Point at)
    {
        double turn = Side == BoardSide.Top ? -1 : 1;
        double dx = Second.At.X - First.At.X, dy = turn * (Second.At.Y - First.At.Y), dc = Second.Column - First.Column, dr = Second.Row - First.Row, square = dx * dx + dy * dy;
        double real = (dc * dx + dr * dy) / square, imaginary = (dr * dx - dc * dy) / square;
        double x = at.X - First.At.X, y = turn * (at.Y - First.At.Y);
        return (First.Column + real * x - imaginary * y, First.Row + imaginary * x + real * y);
    }
}
