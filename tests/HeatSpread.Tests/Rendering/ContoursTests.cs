using HeatSpread.Boards;
using HeatSpread.Rendering;
using HeatSpread.Thermal;
using SkiaSharp;
using Xunit;

namespace HeatSpread.Tests.Rendering;

public class ContoursTests
{
    [Fact]
    public void Level_of_a_cone_is_a_closed_circle()
    {
        var line = Assert.Single(Contours.Trace(Sample(101, 101, (x, y) => -Math.Sqrt((x - 50) * (x - 50) + (y - 50) * (y - 50))), 101, 101, -30.25f));
        Assert.Equal(line[0], line[^1]);
        Assert.All(line, p => Assert.InRange(SKPoint.Distance(p, new SKPoint(50, 50)), 30.23f, 30.26f)); // a chord lies inside by h²/8r
        Assert.Equal(2 * Math.PI * 30.25, Length(line), 0.05);
    }

    [Fact]
    public void Level_of_a_ramp_is_a_straight_line_from_border_to_border()
    {
        var line = Assert.Single(Contours.Trace(Sample(20, 10, (x, y) => 3 * x), 20, 10, 21.6f));
        Assert.Equal(10, line.Length);
        Assert.All(line, p => Assert.Equal(7.2f, p.X, 5));
        Assert.Equal([0f, 9f], new[] { line[0].Y, line[^1].Y }.Order());
    }

    [Fact]
    public void Higher_values_lie_on_the_same_side_all_along()
    {
        static double Height(double x, double y) => Math.Sin(x / 3) * Math.Cos(y / 4);
        var lines = Contours.Trace(Sample(60, 60, (x, y) => Height(x, y)), 60, 60, 0.3f);
        Assert.True(lines.Count > 5);
        foreach (var line in lines)
        {
            for (int i = 1; i < line.Length; i++)
            {
                double x = (line[i].X + line[i - 1].X) / 2, y = (line[i].Y + line[i - 1].Y) / 2, dx = line[i].X - line[i - 1].X, dy = line[i].Y - line[i - 1].Y;
                Assert.True(Height(x + dy, y - dx) < Height(x - dy, y + dx) || dx * dx + dy * dy < 1e-6, $"at ({x}, {y})");
            }
        }
    }

    [Fact]
    public void Every_crossed_edge_is_in_exactly_one_line()
    {
        var random = new Random(5);
        var values = Sample(40, 25, (_, _) => random.NextDouble());
        int crossings = 0;
        for (int y = 0; y < 25; y++)
        {
            for (int x = 0; x < 40; x++)
            {
                bool high = values[y * 40 + x] > 0.5f;
                if (x < 39 && values[y * 40 + x + 1] > 0.5f != high) crossings++;
                if (y < 24 && values[(y + 1) * 40 + x] > 0.5f != high) crossings++;
            }
        }
        var lines = Contours.Trace(values, 40, 25, 0.5f);
        Assert.Equal(crossings, lines.Sum(l => l[0] == l[^1] ? l.Length - 1 : l.Length));
    }

    [Fact]
    public void Simplifying_keeps_within_the_tolerance()
    {
        var circle = Assert.Single(Contours.Trace(Sample(101, 101, (x, y) => -Math.Sqrt((x - 50) * (x - 50) + (y - 50) * (y - 50))), 101, 101, -40f));
        var simple = Contours.Simplify(circle, 0.2f);
        Assert.InRange(simple.Length, 8, circle.Length / 4);
        Assert.Equal(simple[0], simple[^1]);
        Assert.InRange(Length(simple), 2 * Math.PI * 40 * 0.99, 2 * Math.PI * 40);
    }

    [Fact]
    public void Isotherms_of_a_board_lie_where_the_temperature_is()
    {
        // 20 °C at the left edge, 1 K/mm: the line of 47 °C is at x = 27 mm
        var grid = BoardGrid.Over(new Box(0, 0, 60e-3, 45e-3), 0.5e-3);
        var surface = new ValueSurface(grid, [.. Enumerable.Range(0, grid.CellCount).Select(cell => (float)(20 + grid.Centre(cell % grid.Columns, 0).X * 1e3))]);
        var view = new PlanView(new Box(0, 0, 60e-3, 45e-3), SKRect.Create(10, 20, 600, 450), Mirrored: false);
        var line = Assert.Single(Isotherms.Trace(surface, view, 47));
        Assert.All(line, p => Assert.Equal(280, p.X, 0.01));
        Assert.True(line.Min(p => p.Y) <= 20 && line.Max(p => p.Y) >= 470, "from edge to edge");
    }

    private static float[] Sample(int columns, int rows, Func<int, int, double> value) =>
        [.. from y in Enumerable.Range(0, rows) from x in Enumerable.Range(0, columns) select (float)value(x, y)];

    private static double Length(SKPoint[] line) => Enumerable.Range(1, line.Length - 1).Sum(i => (double)SKPoint.Distance(line[i], line[i - 1]));
}
