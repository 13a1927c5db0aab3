using HeatSpread.Boards;
using HeatSpread.Thermal;
using NetTopologySuite.Geometries;
using Xunit;
using static HeatSpread.Tests.Thermal.TestBoards;

namespace HeatSpread.Tests.Thermal;

/// <summary>Copper areas against sums by hand and against polygon clipping by NetTopologySuite 2.6.</summary>
public sealed class CopperRasterTests
{
    private static CopperRaster Raster(Board board, double pitchMm) =>
        CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitchMm * 1e-3), TestContext.Current.CancellationToken);

    [Theory]
    [InlineData(0.25)]
    [InlineData(0.5)]
    [InlineData(1.7)]
    [InlineData(0.333)]
    public void Copper_along_the_axes_is_exact_at_any_pitch(double pitchMm)
    {
        var board = OneLayer(20, 15, Area(Box(1.03, 2.07, 11.11, 9.013)), Area(Box(4.4, 1.01, 5.577, 14.2), net: 1, clearanceMm: 0), Area(Box(8.01, 3.003, 9.1, 3.2), clear: true));
        var raster = Raster(board, pitchMm);
        double first = (11.11 - 1.03) * (9.013 - 2.07), second = (5.577 - 4.4) * (14.2 - 1.01), both = (5.577 - 4.4) * (9.013 - 2.07), hole = (9.1 - 8.01) * (3.2 - 3.003);
        Assert.Equal(first + second - both - hole, raster.Layers[0].CopperArea * 1e6, 1e-5);
        var grid = raster.Grid;
        for (int row = 0; row < grid.Rows; row++)
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                double x0 = column * grid.PitchX * 1e3, y0 = row * grid.PitchY * 1e3, dx = grid.PitchX * 1e3, dy = grid.PitchY * 1e3;
                double Part(double a, double b, double c, double d) =>
                    Math.Max(0, Math.Min(c, x0 + dx) - Math.Max(a, x0)) * Math.Max(0, Math.Min(d, y0 + dy) - Math.Max(b, y0)) / (dx * dy);
                double expected = Part(1.03, 2.07, 11.11, 9.013) + Part(4.4, 1.01, 5.577, 14.2) - Part(4.4, 2.07, 5.577, 9.013) - Part(8.01, 3.003, 9.1, 3.2);
                Assert.Equal(expected, raster.Layers[0].CopperShare[row * grid.Columns + column], 1e-5);
            }
        }
    }

    [Fact]
    public void A_track_with_round_ends_has_its_area()
    {
        var board = OneLayer(20, 15, Track(0.7, 0, 0, (3, 4), (12.3, 9.1)));
        double length = Math.Sqrt(9.3 * 9.3 + 5.1 * 5.1), expected = length * 0.7 + Math.PI * 0.35 * 0.35;
        Assert.Equal(expected, Raster(board, 0.25).Layers[0].CopperArea * 1e6, expected * 1e-4);
        Assert.Equal(expected, Raster(board, 0.5).Layers[0].CopperArea * 1e6, expected * 5e-4);
    }

    [Fact]
    public void A_clearance_clears_other_nets_with_round_corners_and_spares_its_own()
    {
        var board = OneLayer(20, 15, Area(Box(0, 0, 20, 15), net: 0), Area(Box(5, 5, 8, 8), net: 1, clearanceMm: 0.5), Area(Box(12, 5, 15, 8), net: 0, clearanceMm: 0.5));
        double moat = 4 * 3 * 0.5 + Math.PI * 0.25;
        Assert.Equal(300 - moat, Raster(board, 0.25).Layers[0].CopperArea * 1e6, 1e-3);
        var raster = Raster(board, 0.25);
        Assert.Equal(1, raster.Layers[0].Net[Cell(raster.Grid, 6.5, 6.5)]);
        Assert.Equal(0, raster.Layers[0].Net[Cell(raster.Grid, 13.5, 6.5)]);
    }

    [Fact]
    public void Random_polygons_meet_polygon_clipping_within_half_a_percent_of_a_cell_rms()
    {
        var random = new Random(7);
        var factory = new GeometryFactory();
        double squares = 0, worst = 0;
        int edgeCells = 0;
        for (int round = 0; round < 12; round++)
        {
            int corners = random.Next(3, 16);
            double cx = 12.5, cy = 12.5;
            var points = Enumerable.Range(0, corners).Select(k =>
            {
                double angle = 2 * Math.PI * (k + 0.8 * random.NextDouble()) / corners, radius = 3 + 8 * random.NextDouble();
                return (X: cx + radius * Math.Cos(angle), Y: cy + radius * Math.Sin(angle));
            }).ToArray();
            var board = OneLayer(25, 25, Area(Ring(points)));
            var raster = Raster(board, 0.25);
            var ring = factory.CreatePolygon([.. points.Append(points[0]).Select(p => new Coordinate(p.X, p.Y))]);
            Assert.Equal(ring.Area, raster.Layers[0].CopperArea * 1e6, ring.Area * 2e-5);
            for (int row = 0; row < raster.Grid.Rows; row++)
            {
                for (int column = 0; column < raster.Grid.Columns; column++)
                {
                    double share = raster.Layers[0].CopperShare[row * raster.Grid.Columns + column];
                    var cell = factory.ToGeometry(new Envelope(column * 0.25, column * 0.25 + 0.25, row * 0.25, row * 0.25 + 0.25));
                    if (!ring.Boundary.Intersects(cell)) continue;
                    double error = share - ring.Intersection(cell).Area / cell.Area;
                    squares += error * error;
                    worst = Math.Max(worst, Math.Abs(error));
                    edgeCells++;
                }
            }
        }
        double rms = Math.Sqrt(squares / edgeCells);
        TestContext.Current.TestOutputHelper?.WriteLine($"{edgeCells} edge cells: rms {rms:e2}, worst {worst:e2}");
        Assert.True(rms < 5e-3, $"rms {rms}");
        Assert.True(worst < 0.05, $"worst {worst}");
    }

    [Fact]
    public void An_opening_in_the_outline_is_no_board_and_cuts_copper()
    {
        var whole = Box(0, 0, 20, 15).Polygons[0];
        var hole = Box(5, 5, 7.3, 8.1).Polygons[0].Outer;
        var template = OneLayer(20, 15, Area(Box(0, 0, 20, 15)));
        var board = new Board
        {
            Name = "",
            Revision = "",
            Outline = new Region([new HeatSpread.Boards.Polygon(whole.Outer, [hole])]),
            Rows = template.Rows,
            Layers = template.Layers,
            Nets = template.Nets,
            Copper = template.Copper,
            Vias = [],
            Parts = [],
            Probes = [],
        };
        var raster = Raster(board, 0.25);
        Assert.Equal(300 - 2.3 * 3.1, raster.BoardArea * 1e6, 1e-4);
        Assert.Equal(300 - 2.3 * 3.1, raster.Layers[0].CopperArea * 1e6, 1e-4);
    }

    private static int Cell(BoardGrid grid, double xMm, double yMm)
    {
        var (column, row) = grid.CellAt(new HeatSpread.Boards.Point(xMm * 1e-3, yMm * 1e-3));
        return row * grid.Columns + column;
    }
}
