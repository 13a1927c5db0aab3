using HeatSpread.Boards;
using HeatSpread.Rendering;
using HeatSpread.Thermal;
using SkiaSharp;
using Xunit;

namespace HeatSpread.Tests.Rendering;

public class CopperAndFlowTests
{
    /// <summary>A pour of 20 x 10 mm of the first net on the top layer, and what is painted after it.</summary>
    private static Board Pour(params CopperFeature[] after) => With([new CopperFeature { Layer = 0, Net = 0, Area = Rectangle(10, 10, 30, 20) }, .. after]);

    [Fact]
    public void Edge_of_a_pour_runs_round_it()
    {
        var edge = Assert.Single(Edges(Pour()));
        Assert.Equal(200, Area([edge]), 0.5);
    }

    [Fact]
    public void Clear_counts() => Assert.Equal(200 - 4 * 3, Area(Edges(Pour(new CopperFeature { Layer = 0, Net = -1, IsClear = true, Area = Rectangle(12, 12, 16, 15) }))), 0.5);

    [Fact]
    public void Clearance_takes_other_nets_copper_only()
    {
        CopperFeature Track(int net) => new() { Layer = 0, Net = net, Track = new Track([SampleBoard.Place(5, 15), SampleBoard.Place(35, 15)], 0.4e-3), Clearance = 0.3e-3 };
        // another net: 20 mm long and 1.0 mm wide out of the pour, and the track with round ends
        Assert.Equal(200 - 20 * 1.0 + 30 * 0.4 + Math.PI * 0.04, Area(Edges(Pour(Track(1)))), 0.6);
        // its own net: only the two ends outside are new
        Assert.Equal(200 + 10 * 0.4 + Math.PI * 0.04, Area(Edges(Pour(Track(0)))), 0.6);
    }

    [Fact]
    public void Via_clears_round_its_hole_and_has_its_own_copper()
    {
        var board = With(Pour().Copper, new ViaGroup { Net = 1, FromLayer = 0, ToLayer = 3, Drill = 1e-3, Plating = 25e-6, PlatingConductivity = 390, FillConductivity = 0, Pad = 1.6e-3, Clearance = 0.8e-3, At = [SampleBoard.Place(20, 15)] });
        Assert.Equal(200 - Math.PI * (1.3 * 1.3 - 0.8 * 0.8), Area(Edges(board)), 0.5);
    }

    [Fact]
    public void Area_inside_the_edges_is_the_solvers_copper()
    {
        // the edges are drawn clipped to the board; the copper that the sample paints across its openings is cut off in the raster
        double openings = SampleBoard.Board.Outline.Polygons[0].Holes.Sum(hole => Math.Abs(Polygon.SignedArea(hole))) * 1e6;
        for (int layer = 1; layer < 4; layer++)
        {
            double expected = SampleBoard.Raster.Layers[layer].CopperArea * 1e6;
            Assert.Equal(expected, Area(CopperMask.Edges(SampleBoard.Board, layer, 25e3)) - openings, expected * 0.002);
        }
    }

    [Theory]
    [InlineData(0, 1)]
    [InlineData(0.05f, 1)]
    [InlineData(0.2f, 0.5f)]
    [InlineData(5, 0.08f)]
    public void Crowded_edges_are_fainter_so_that_they_do_not_tint_the_map(float cover, float strength) =>
        Assert.Equal(strength, CopperEdges.Strength(cover), 5);

    [Fact]
    public void Five_hundred_crowded_tracks_change_the_mean_colour_by_next_to_nothing()
    {
        var tracks = Enumerable.Range(0, 500).Select(i => new CopperFeature
        {
            Layer = 0,
            Net = i % 5,
            Track = new Track([SampleBoard.Place(1 + i % 20 * 2.8, 1 + i / 20 * 1.7), SampleBoard.Place(3 + i % 20 * 2.8, 2 + i / 20 * 1.7)], 0.15e-3),
            Clearance = 0.15e-3,
        });
        var board = With([new CopperFeature { Layer = 0, Net = 0, Area = Rectangle(0, 0, 60, 45) }, .. tracks]);
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 1e-3), TestContext.Current.CancellationToken);
        var field = Field(board, raster.Grid, _ => 30);
        double Lightness(bool outlines)
        {
            using var picture = SKBitmap.Decode(LayerMap.Draw(board, raster, field, 0, [], new MapOptions { Width = 400, Legend = false, Outlines = outlines, MinCelsius = 20, MaxCelsius = 60 }));
            return picture.Pixels.Average(c => OkLab.FromSrgb(c).L);
        }
        Assert.InRange(Lightness(outlines: true) - Lightness(outlines: false), 0.001, 0.05);
    }

    [Fact]
    public void Flow_of_a_ramp_is_uniform_along_it_by_fouriers_law()
    {
        // a whole sheet of copper: -k t dT/dx = 390 x 35e-6 x 1000 W per metre of width, towards the cold
        var board = With([new CopperFeature { Layer = 1, Net = 0, Area = Rectangle(0, 0, 60, 45) }]);
        var grid = BoardGrid.Over(board.Outline.Bounds, 0.5e-3);
        var raster = CopperRaster.Build(board, grid, TestContext.Current.CancellationToken);
        var flow = FlowField.Of(board, raster, Field(board, grid, p => 20 + 1e3 * p.X), 1);
        var (x, y) = flow.At(SampleBoard.Place(20, 20));
        Assert.Equal(-390 * 35e-6 * 1e3, x, 0.02);
        Assert.Equal(0, y, 1e-6);
        Assert.Equal(390 * 35e-6 * 1e3, flow.Strong, 0.02);
    }

    [Fact]
    public void Flow_lines_run_from_hot_to_cold_and_keep_apart()
    {
        var frame = Frame.For(SampleBoard.Board.Outline.Bounds, 600, framed: true);
        using var outline = frame.View.PathOf(SampleBoard.Board.Outline);
        var surface = new ValueSurface(SampleBoard.Grid, SampleBoard.Field.RowCelsius[1]);
        var lines = FlowLines.Trace(FlowField.Of(SampleBoard.Board, SampleBoard.Raster, SampleBoard.Field, 0), frame, outline);
        Assert.True(lines.Count > 20, $"{lines.Count} lines");
        double Celsius(SKPoint p) => surface.At(frame.View.ToPlan(p.X, p.Y));
        Assert.All(lines, line => Assert.True(Celsius(line[0]) > Celsius(line[^1])));
        Assert.All(lines.SelectMany(l => l), p => Assert.True(outline.Contains(p.X, p.Y)));
        float least = frame.Sizes.Text * 0.6f;
        for (int i = 0; i < lines.Count; i++)
            for (int j = i + 1; j < lines.Count; j++)
                Assert.True(lines[i].All(p => lines[j].All(q => SKPoint.Distance(p, q) > least)), $"lines {i} and {j} touch");
    }

    private static IReadOnlyList<Point[]> Edges(Board board) => CopperMask.Edges(board, 0, 20e3);

    /// <summary>mm²; rings run one way round copper and the other way round gaps.</summary>
    private static double Area(IReadOnlyList<Point[]> rings) => Math.Abs(rings.Sum(ring => Polygon.SignedArea(ring))) * 1e6;

    private static TemperatureField Field(Board board, BoardGrid grid, Func<Point, double> celsius)
    {
        float[] values = [.. Enumerable.Range(0, grid.CellCount).Select(c => (float)celsius(grid.Centre(c % grid.Columns, c / grid.Columns)))];
        return new TemperatureField
        {
            Grid = grid,
            RowCelsius = [.. board.Rows.Select(_ => values)],
            TopFaceCelsius = values,
            BottomFaceCelsius = values,
            Parts = [],
            Heat = new HeatBalance(0, 0, 0, 0, [], 0),
            Solve = new SolveFigures(1, 1, 0, 0, 0),
        };
    }

    private static Board With(IReadOnlyList<CopperFeature> copper, params ViaGroup[] vias)
    {
        var sample = SampleBoard.Board;
        return new Board
        {
            Name = sample.Name,
            Revision = sample.Revision,
            Outline = new Region([new Polygon(Rectangle(0, 0, 60, 45).Polygons[0].Outer)]),
            Rows = sample.Rows,
            Layers = sample.Layers,
            Nets = sample.Nets,
            Copper = copper,
            Vias = vias,
            Parts = [],
            Probes = [],
        };
    }

    private static Region Rectangle(double left, double bottom, double right, double top) =>
        new([new Polygon([SampleBoard.Place(left, bottom), SampleBoard.Place(right, bottom), SampleBoard.Place(right, top), SampleBoard.Place(left, top)])]);
}
