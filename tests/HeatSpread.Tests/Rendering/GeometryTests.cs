using HeatSpread.Boards;
using HeatSpread.Rendering;
using HeatSpread.Thermal;
using SkiaSharp;
using Xunit;

namespace HeatSpread.Tests.Rendering;

public class GeometryTests
{
    private static readonly Box Plan = new(1e-3, 2e-3, 61e-3, 47e-3);

    [Theory]
    [InlineData(false, 1e-3, 2e-3, 10, 470)]
    [InlineData(false, 61e-3, 47e-3, 610, 20)]
    [InlineData(false, 16e-3, 12e-3, 160, 370)]
    [InlineData(true, 1e-3, 2e-3, 610, 470)]
    [InlineData(true, 16e-3, 12e-3, 460, 370)]
    public void Metres_become_pixels_and_back(bool mirrored, double x, double y, float px, float py)
    {
        var view = new PlanView(Plan, SKRect.Create(10, 20, 600, 450), mirrored);
        var pixel = view.ToPixel(new Point(x, y));
        Assert.Equal((px, py), (MathF.Round(pixel.X, 3), MathF.Round(pixel.Y, 3)));
        var back = view.ToPlan(pixel.X, pixel.Y);
        Assert.Equal((x, y), (Math.Round(back.X, 7), Math.Round(back.Y, 7)));
    }

    [Fact]
    public void Overlapping_polygons_are_one_area_and_holes_stay_open()
    {
        // the right half of the hole is covered by the second polygon; all ring directions mixed
        var region = new Region([new Polygon(Square(5, 5, 25), [Square(10, 10, 10)]), new Polygon([.. Square(15, 8, 30).Reverse()])]);
        using var path = new PlanView(new Box(0, 0, 60e-3, 45e-3), SKRect.Create(0, 0, 600, 450), Mirrored: false).PathOf(region);
        bool IsInside(double x, double y) => path.Contains((float)(x * 10), (float)(450 - y * 10));
        Assert.True(IsInside(7, 7));
        Assert.False(IsInside(12, 15));
        Assert.True(IsInside(17, 15));
        Assert.True(IsInside(28, 28));
        Assert.True(IsInside(40, 30));
        Assert.False(IsInside(50, 30));
    }

    [Theory]
    [InlineData(800, true)]
    [InlineData(400, true)]
    [InlineData(64, true)]
    [InlineData(2000, false)]
    public void Frame_keeps_the_boards_shape_and_the_asked_width(int width, bool framed)
    {
        var frame = Frame.For(Plan, width, framed);
        Assert.Equal(width, frame.Width);
        Assert.Equal(framed && width >= 240, frame.IsFramed);
        Assert.InRange(frame.View.Target.Width / frame.View.Target.Height, 60.0 / 45 * 0.99, 60.0 / 45 * 1.01);
        Assert.InRange(frame.View.Target.Bottom, 0, frame.Height);
        if (!framed) Assert.Equal(SKRect.Create(0, 0, 2000, 1500), frame.View.Target);
    }

    [Fact]
    public void Tall_board_does_not_make_an_endless_picture()
    {
        var frame = Frame.For(new Box(0, 0, 5e-3, 400e-3), 800, framed: true);
        Assert.InRange(frame.Height, 800, 1600);
        Assert.InRange(frame.View.Target.MidX, 399, 401);
    }

    [Theory]
    [InlineData(63)]
    [InlineData(4097)]
    public void Width_out_of_range_is_refused(int width) => Assert.Throws<ArgumentOutOfRangeException>(() => Frame.For(Plan, width, framed: true));

    [Fact]
    public void Surface_of_linear_values_is_linear_between_the_centres()
    {
        var (grid, values) = Linear(new Box(0, 0, 10e-3, 6e-3));
        var surface = new ValueSurface(grid, values);
        foreach (var p in (Point[])[new(1.1e-3, 2.3e-3), new(5e-3, 5e-3), new(9.2e-3, 0.77e-3)]) Assert.Equal(20 + 1e3 * p.X + 2e3 * p.Y, surface.At(p), 4);
        Assert.Equal(new ValueRange(values.Min(), values.Max()), surface.Range);
    }

    [Fact]
    public void Surface_reaches_over_cells_without_a_value()
    {
        var (grid, values) = Linear(new Box(0, 0, 10e-3, 6e-3));
        for (int cell = 0; cell < values.Length; cell++)
            if (cell % grid.Columns > 4) values[cell] = float.NaN;
        var surface = new ValueSurface(grid, values);
        Assert.Equal(surface.At(new Point(2.25e-3, 3e-3)), surface.At(new Point(2.75e-3, 3e-3)), 0.1); // the next cell takes its neighbours' mean
        Assert.True(double.IsFinite(surface.At(new Point(9.9e-3, 0))));
    }

    [Fact]
    public void Surface_without_any_value_is_refused() =>
        Assert.Throws<ArgumentException>(() => new ValueSurface(BoardGrid.Over(new Box(0, 0, 1e-3, 1e-3), 1e-3), [float.NaN]));

    [Fact]
    public void Blur_keeps_the_sum_and_spreads_by_its_width()
    {
        var values = new float[61 * 41];
        values[20 * 61 + 30] = 1000;
        var blurred = GaussianBlur.Apply(values, 61, 41, 3);
        Assert.Equal(1000, blurred.Sum(), 0.1);
        double variance = Enumerable.Range(0, blurred.Length).Sum(i => blurred[i] * Math.Pow(i % 61 - 30, 2)) / 1000;
        Assert.Equal(3, Math.Sqrt(variance), 0.06); // the kernel ends at three widths
        Assert.Same(values, GaussianBlur.Apply(values, 61, 41, 0.1f));
    }

    private static (BoardGrid Grid, float[] Values) Linear(Box box)
    {
        var grid = BoardGrid.Over(box, 0.5e-3);
        var centres = Enumerable.Range(0, grid.CellCount).Select(cell => grid.Centre(cell % grid.Columns, cell / grid.Columns));
        return (grid, [.. centres.Select(p => (float)(20 + 1e3 * p.X + 2e3 * p.Y))]);
    }

    private static Point[] Square(double left, double bottom, double size) =>
        [SampleBoard.Place(left, bottom), SampleBoard.Place(left + size, bottom), SampleBoard.Place(left + size, bottom + size), SampleBoard.Place(left, bottom + size)];
}
