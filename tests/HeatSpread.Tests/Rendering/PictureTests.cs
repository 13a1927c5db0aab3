using HeatSpread.Boards;
using HeatSpread.Rendering;
using HeatSpread.Thermal;
using SkiaSharp;
using Xunit;

namespace HeatSpread.Tests.Rendering;

public class PictureTests
{
    /// <summary>Bare, so that pixels are board alone: 10 px a millimetre.</summary>
    private static readonly MapOptions Bare = new() { Width = 600, Legend = false, Outlines = false, MinCelsius = 0, MaxCelsius = 100, Palette = "grey" };

    private static readonly TemperatureField Ramp = SampleBoard.MakeField(p => 20 + 1e3 * p.X);

    [Theory]
    [InlineData(10, 15)]
    [InlineData(31, 40)]
    [InlineData(57.3, 20)]
    public void Pixel_has_the_colour_of_the_temperature_there(double x, double y)
    {
        using var picture = Layer(Ramp, Bare);
        Assert.Equal((600, 450), (picture.Width, picture.Height));
        Assert.Equal(Palettes.Find("grey").At((20 + x) / 100), At(picture, x, y));
    }

    [Fact]
    public void Values_beyond_the_scale_take_its_end_colours()
    {
        using var picture = Layer(Ramp, Bare with { MinCelsius = 40, MaxCelsius = 60 });
        Assert.Equal(Palettes.Find("grey").At(0), At(picture, 10, 20));
        Assert.Equal(Palettes.Find("grey").At(1), At(picture, 50, 20));
    }

    [Fact]
    public void Outside_and_openings_are_transparent_and_the_edge_is_smooth()
    {
        using var picture = Layer(Ramp, Bare);
        Assert.Equal(0, At(picture, 0.1, 44.9).Alpha);
        Assert.Equal(0, At(picture, 40, 8).Alpha);
        Assert.Equal(0, At(picture, 55, 40).Alpha);
        Assert.Equal(255, At(picture, 20, 20).Alpha);
        Assert.Contains(picture.Pixels, p => p.Alpha is > 60 and < 200);
    }

    [Fact]
    public void Framed_picture_is_opaque()
    {
        using var picture = Layer(Ramp, new MapOptions { Width = 400 });
        Assert.All(picture.Pixels, p => Assert.Equal(255, p.Alpha));
    }

    [Fact]
    public void Camera_below_sees_left_and_right_exchanged()
    {
        byte[] top = CameraView.Draw(SampleBoard.Board, Ramp, BoardSide.Top, Bare), bottom = CameraView.Draw(SampleBoard.Board, Ramp, BoardSide.Bottom, Bare);
        using var above = SKBitmap.Decode(top);
        using var below = SKBitmap.Decode(bottom);
        Assert.Equal(Palettes.Find("grey").At(0.75), At(above, 55, 30));
        Assert.Equal(Palettes.Find("grey").At(0.75 - 0.015), At(below, 60 - 55, 30)); // the bottom face is 1.5 K cooler
    }

    [Fact]
    public void Camera_sees_a_body_at_its_case_temperature()
    {
        using var picture = SKBitmap.Decode(CameraView.Draw(SampleBoard.Board, Ramp, BoardSide.Top, Bare));
        Assert.Equal(Palettes.Find("grey").At((20 + 22 + 3) / 100.0), At(picture, 23, 27)); // U1 about x = 22 mm; its case is 3 K warmer
    }

    [Fact]
    public void Case_is_the_node_of_that_name_or_the_hottest_or_the_board()
    {
        var part = SampleBoard.Board.Parts[0];
        var temperatures = new PartTemperatures(1, [90, 70], [], [], 60);
        Assert.Equal(70, CameraScene.CaseCelsius(part, temperatures));
        Assert.Equal(90, CameraScene.CaseCelsius(part with { Network = part.Network! with { Nodes = ["junction", "lid"] } }, temperatures));
        Assert.Null(CameraScene.CaseCelsius(part with { Network = null }, new PartTemperatures(1, [], [], [], 60)));
    }

    [Fact]
    public void Hottest_place_of_a_body_is_its_middle()
    {
        var view = new PlanView(SampleBoard.Board.Outline.Bounds, SKRect.Create(0, 0, 600, 450), Mirrored: false);
        using var scene = CameraScene.Of(SampleBoard.Board, SampleBoard.Field, BoardSide.Top, view);
        var middle = view.ToPixel(SampleBoard.Place(22, 27));
        Assert.InRange(SKPoint.Distance(middle, scene.Hottest), 0, 1.5f);
        Assert.Equal(SampleBoard.Celsius(SampleBoard.Place(22, 27)) + 3, scene.Range.Max, 0.05);
    }

    [Fact]
    public void Copper_picture_shows_copper_laminate_and_no_board()
    {
        using var picture = SKBitmap.Decode(CopperMap.Draw(SampleBoard.Board, SampleBoard.Raster, 0, 239)); // below 240 px there is no frame
        double scale = 239 / 60.0;
        SKColor Pixel(double x, double y) => picture.GetPixel((int)(x * scale), (int)(picture.Height - y * scale));
        Assert.InRange(OkLab.FromSrgb(Pixel(30, 42)).DistanceTo(OkLab.FromSrgb(Theme.Copper)), 0, 0.01);
        Assert.InRange(OkLab.FromSrgb(Pixel(30, 0.3)).DistanceTo(OkLab.FromSrgb(Theme.Laminate)), 0, 0.01);
        Assert.Equal(0, Pixel(40, 8).Alpha);
    }

    [Fact]
    public void Same_input_gives_the_same_bytes_from_any_thread()
    {
        var options = new MapOptions { Width = 500, Isotherms = true, Flow = true };
        byte[] Draw() => LayerMap.Draw(SampleBoard.Board, SampleBoard.Raster, SampleBoard.Field, 0, SampleBoard.HotSpots, options);
        byte[] first = Draw();
        var others = ParallelEnumerable.Range(0, 6).WithDegreeOfParallelism(3).Select(_ => Draw()).ToList();
        Assert.All(others, other => Assert.Equal(first, other));
    }

    [Theory]
    [InlineData(64)]
    [InlineData(150)]
    [InlineData(250)]
    [InlineData(1200)]
    public void Every_width_can_be_drawn(int width)
    {
        foreach (var palette in Palettes.Names)
        {
            using var picture = Layer(SampleBoard.Field, new MapOptions { Width = width, Isotherms = true, Flow = true, Palette = palette });
            Assert.Equal(width, picture.Width);
        }
        using var camera = SKBitmap.Decode(CameraView.Draw(SampleBoard.Board, SampleBoard.Field, BoardSide.Bottom, new MapOptions { Width = width }));
        Assert.Equal(width, camera.Width);
    }

    [Fact]
    public void Board_of_one_temperature_is_drawn_in_one_colour()
    {
        using var picture = Layer(SampleBoard.MakeField(_ => 25), Bare with { MinCelsius = null, MaxCelsius = null, Isotherms = true, Flow = true });
        Assert.Equal(At(picture, 10, 10), At(picture, 50, 30));
    }

    [Fact]
    public void Wrong_options_are_refused()
    {
        Assert.Throws<ArgumentOutOfRangeException>(() => Layer(Ramp, Bare with { Width = 20 }));
        Assert.Throws<ArgumentException>(() => Layer(Ramp, Bare with { Palette = "no such" }));
        Assert.Throws<ArgumentException>(() => Layer(Ramp, Bare with { MinCelsius = 50, MaxCelsius = 40 }));
        Assert.Throws<ArgumentOutOfRangeException>(() => LayerMap.Draw(SampleBoard.Board, SampleBoard.Raster, Ramp, 4, [], Bare));
    }

    [Fact]
    public void Difference_is_candidate_less_baseline_on_whatever_grid()
    {
        var baseline = new SolvedLayer(SampleBoard.Board, SampleBoard.MakeField(p => 30 + 1e3 * p.X), 0);
        var coarse = BoardGrid.Over(new Box(10e-3, 15e-3, 30e-3, 25e-3), 0.7e-3);
        float[] Values(double at0) => [.. Enumerable.Range(0, coarse.CellCount).Select(c => (float)(at0 + 2e3 * coarse.Centre(c % coarse.Columns, 0).X))];
        var field = new TemperatureField
        {
            Grid = coarse,
            RowCelsius = [.. SampleBoard.Board.Rows.Select(_ => Values(25))],
            TopFaceCelsius = Values(25),
            BottomFaceCelsius = Values(25),
            Parts = Ramp.Parts,
            Heat = Ramp.Heat,
            Solve = Ramp.Solve,
        };
        var kelvin = DifferenceMap.Differences(baseline, new SolvedLayer(SampleBoard.Board, field, 0));
        for (int cell = 0; cell < kelvin.Length; cell++) Assert.Equal(-5 + 1e3 * coarse.Centre(cell % coarse.Columns, 0).X, kelvin[cell], 1e-3);
    }

    [Fact]
    public void Difference_has_no_value_where_the_baseline_had_no_board()
    {
        var other = BoardGrid.Over(new Box(0, 0, 120e-3, 45e-3), 0.5e-3);
        float[] values = new float[other.CellCount];
        Array.Fill(values, 40);
        var wide = new TemperatureField { Grid = other, RowCelsius = [.. SampleBoard.Board.Rows.Select(_ => values)], TopFaceCelsius = values, BottomFaceCelsius = values, Parts = [], Heat = Ramp.Heat, Solve = Ramp.Solve };
        var kelvin = DifferenceMap.Differences(new SolvedLayer(SampleBoard.Board, Ramp, 0), new SolvedLayer(SampleBoard.Board, wide, 0));
        var (column, row) = other.CellAt(SampleBoard.Place(90, 20));
        Assert.True(float.IsNaN(kelvin[row * other.Columns + column]));
        (column, row) = other.CellAt(SampleBoard.Place(30.1, 20));
        Assert.Equal(40 - 50.25, kelvin[row * other.Columns + column], 0.26);
    }

    private static SKBitmap Layer(TemperatureField field, MapOptions options) => SKBitmap.Decode(LayerMap.Draw(SampleBoard.Board, SampleBoard.Raster, field, 0, [], options));

    private static SKColor At(SKBitmap picture, double x, double y) => picture.GetPixel((int)(x * 10), (int)(450 - y * 10));
}
