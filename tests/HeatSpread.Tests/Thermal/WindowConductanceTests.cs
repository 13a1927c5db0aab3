using HeatSpread.Boards;
using HeatSpread.Thermal;
using Xunit;
using static HeatSpread.Tests.Thermal.TestBoards;

namespace HeatSpread.Tests.Thermal;

/// <summary>In-plane conductances between cell centres, as shares of a whole sheet's, against values by hand.</summary>
public sealed class WindowConductanceTests
{
    /// <summary>Raster of a 4 × 4 mm board on 1 mm cells: fine points stand 0.125 mm apart.</summary>
    private static LayerRaster Raster(params CopperFeature[] copper)
    {
        var board = OneLayer(4, 4, copper);
        return CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 1e-3), TestContext.Current.CancellationToken).Layers[0];
    }

    [Fact]
    public void A_whole_sheet_conducts_as_a_sheet()
    {
        var layer = Raster(Area(Box(0, 0, 4, 4)));
        Assert.All(Enumerable.Range(0, 3), column => Assert.Equal((1f, 0f), (layer.CopperEast[4 + column], layer.FillEast[4 + column])));
        Assert.All(Enumerable.Range(0, 3), row => Assert.Equal((1f, 0f), (layer.CopperNorth[4 * row], layer.FillNorth[4 * row])));
    }

    [Fact]
    public void Bare_laminate_conducts_as_laminate()
    {
        var layer = Raster();
        Assert.Equal((0f, 1f), (layer.CopperEast[5], layer.FillEast[5]));
        Assert.Equal((0f, 1f), (layer.CopperNorth[5], layer.FillNorth[5]));
    }

    [Theory]
    [InlineData(0.5)]
    [InlineData(0.3)]
    [InlineData(0.17)]
    public void A_straight_track_conducts_by_its_width_wherever_it_lies(double width)
    {
        foreach (double y in (double[])[1.5, 1.31, 1.66])
        {
            var layer = Raster(Area(Box(0, y - width / 2, 4, y + width / 2)));
            Assert.Equal(width, layer.CopperEast[5], 1e-3);
            Assert.Equal(0, layer.CopperNorth[1]);
        }
    }

    [Theory]
    [InlineData(1.5)]
    [InlineData(1.93)]
    [InlineData(2.0)]
    [InlineData(2.2)]
    public void A_gap_lets_no_copper_through_at_any_place_and_drops_over_its_own_width(double x)
    {
        var layer = Raster(Area(Box(0, 0, 4, 4)), Area(Box(x - 0.0625, 0, x + 0.0625, 4), clear: true));
        // Between the columns left and right of the cut there is a chain of faces; at least one of them holds no copper.
        float least = Enumerable.Range(0, 3).Min(column => layer.CopperEast[4 + column]);
        Assert.Equal(0, least);
        int at = Enumerable.Range(0, 3).First(column => layer.CopperEast[4 + column] == 0);
        // 0.125 mm of fill instead of 1 mm: eight times a whole cell's, to a fine point.
        Assert.InRange(layer.FillEast[4 + at], 3.9, 8.1);
    }

    /// <summary>
    /// Copper up to a straight edge, laminate beyond: from the middle of the first cell to that of the last the resistances of both add up. Copper's main piece stands for a cell that the
    /// edge cuts, so that its temperature is that of the copper; a cell of laminate alone has its middle as place.
    /// </summary>
    [Theory]
    [InlineData(1.0)]
    [InlineData(1.125)]
    [InlineData(1.375)]
    [InlineData(1.5)]
    [InlineData(1.75)]
    [InlineData(2.0)]
    [InlineData(2.3)]
    public void From_a_straight_edge_the_laminate_resists_by_its_own_length(double edge)
    {
        const double ratio = 390 / 0.8;
        var layer = Raster(Area(Box(0, 0, edge, 4)));
        double Along(float[] copper, float[] fill, int step) => Enumerable.Range(0, 3).Sum(i => 1 / (fill[i * step] + ratio * copper[i * step]));
        double expected = 3.5 - edge + (edge - 0.5) / ratio;
        Assert.Equal(expected, Along(layer.CopperEast, layer.FillEast, 1), 0.02 * expected);
        var upright = Raster(Area(Box(0, 0, 4, edge)));
        Assert.Equal(expected, Along(upright.CopperNorth, upright.FillNorth, 4), 0.02 * expected);
    }

    [Fact]
    public void A_hairline_between_fine_points_still_cuts()
    {
        var layer = Raster(Area(Box(0, 0, 4, 4)), Area(Box(2.01, 0, 2.02, 4), clear: true));
        Assert.Equal(0, Enumerable.Range(0, 3).Min(column => layer.CopperEast[4 + column]));
        var level = Raster(Area(Box(0, 0, 4, 4)), Area(Box(0, 2.01, 4, 2.02), clear: true));
        Assert.Equal(0, Enumerable.Range(0, 3).Min(row => level.CopperNorth[4 * row + 1]));
    }

    [Fact]
    public void A_slanted_cut_separates_its_two_sides_completely()
    {
        var strip = Ring((-1, 0.35), (5, 4.15), (5, 4.35), (-1, 0.55));
        var layer = Raster(Area(Box(0, 0, 4, 4)), Area(strip, clear: true));
        var reached = new HashSet<int> { 3 }; // the lower right corner
        for (bool grown = true; grown;)
        {
            grown = false;
            for (int cell = 0; cell < 16; cell++)
            {
                if (cell % 4 != 3 && layer.CopperEast[cell] > 0 && reached.Contains(cell) != reached.Contains(cell + 1)) grown |= reached.Add(cell) | reached.Add(cell + 1);
                if (cell < 12 && layer.CopperNorth[cell] > 0 && reached.Contains(cell) != reached.Contains(cell + 4)) grown |= reached.Add(cell) | reached.Add(cell + 4);
            }
        }
        Assert.DoesNotContain(12, reached); // the upper left corner
        Assert.True(reached.Count >= 6);
    }

    [Theory]
    [InlineData(0)]
    [InlineData(0.13)]
    [InlineData(0.4)]
    public void A_slanted_track_is_an_unbroken_way(double shift)
    {
        var layer = Raster(Track(0.3, 0, 0, (0.5, 0.5 + shift), (3.5, 3.1 + shift)));
        var reached = new HashSet<int> { 0 };
        for (bool grown = true; grown;)
        {
            grown = false;
            for (int cell = 0; cell < 16; cell++)
            {
                if (cell % 4 != 3 && layer.CopperEast[cell] > 0.02 && reached.Contains(cell) != reached.Contains(cell + 1)) grown |= reached.Add(cell) | reached.Add(cell + 1);
                if (cell < 12 && layer.CopperNorth[cell] > 0.02 && reached.Contains(cell) != reached.Contains(cell + 4)) grown |= reached.Add(cell) | reached.Add(cell + 4);
            }
        }
        Assert.Contains(15, reached);
    }

    [Theory]
    [InlineData(-2.0, 2.0, -2.0, 2.0, Math.PI)]
    [InlineData(0.0, 2.0, 0.0, 2.0, Math.PI / 4)]
    [InlineData(-2.0, 0.0, -2.0, 2.0, Math.PI / 2)]
    [InlineData(-0.5, 0.5, -0.5, 0.5, 1.0)]
    [InlineData(1.0, 2.0, 0.0, 1.0, 0.0)]
    public void A_disc_and_a_box_share_the_area_of_elementary_geometry(double x0, double x1, double y0, double y1, double expected) =>
        Assert.Equal(expected, HeatSpread.Thermal.Network.PlatedBarrels.DiscBoxArea(x0, x1, y0, y1, 1), 1e-12);

    [Fact]
    public void The_pieces_of_a_disc_add_up()
    {
        double sum = 0;
        for (int i = 0; i < 7; i++)
        {
            for (int j = 0; j < 5; j++) sum += HeatSpread.Thermal.Network.PlatedBarrels.DiscBoxArea(-1.2 + 0.37 * i, -0.83 + 0.37 * i, -1.1 + 0.45 * j, -0.65 + 0.45 * j, 1);
        }
        Assert.Equal(Math.PI, sum, 1e-12);
    }
}
