using HeatSpread.Boards;
using HeatSpread.Rendering;
using SkiaSharp;
using Xunit;

namespace HeatSpread.Tests.Rendering;

public class ApprovedPictureTests
{
    /// <summary>Antialiasing that rounds otherwise stays above it; a changed letter, mark or colour of any size falls below.</summary>
    private const double LeastLikeness = 0.9;

    private static readonly MapOptions Small = new() { Width = 400, Isotherms = true };

    private static readonly MapOptions Large = new() { Width = 800, Isotherms = true };

    public static TheoryData<string> Names => ["layer-small", "layer-large", "layer-fixed-scale", "layer-bare", "camera-top", "camera-bottom", "copper", "difference"];

    [Theory]
    [MemberData(nameof(Names))]
    public void Picture_is_as_approved(string name)
    {
        string path = Path.Combine(Folder(), name + ".png");
        byte[] png = Draw(name);
        if (Environment.GetEnvironmentVariable("HEATSPREAD_APPROVE") == "1") File.WriteAllBytes(path, png);
        Assert.True(File.Exists(path), $"{name} is not approved yet; run with HEATSPREAD_APPROVE=1 and look at what is written.");
        using var expected = SKBitmap.Decode(path);
        using var actual = SKBitmap.Decode(png);
        var (likeness, x, y) = PictureComparer.WorstWindow(expected, actual);
        Assert.True(likeness >= LeastLikeness, $"{name}: likeness {likeness:0.000} in the window at ({x}, {y}); {LeastLikeness} is demanded.");
    }

    [Fact]
    public void Comparer_lets_rounding_pass()
    {
        using var picture = SKBitmap.Decode(Draw("layer-small"));
        using var rounded = picture.Copy();
        rounded.Pixels = [.. picture.Pixels.Select((c, i) => new SKColor(Nudged(c.Red, i), Nudged(c.Green, i / 3), Nudged(c.Blue, i / 7)))];
        Assert.InRange(PictureComparer.WorstWindow(picture, rounded).Likeness, LeastLikeness, 0.99999);
    }

    [Fact]
    public void Comparer_sees_a_missing_label() => AssertUnlike(
        Draw("layer-small"),
        LayerMap.Draw(SampleBoard.Board, SampleBoard.Raster, SampleBoard.Field, 0, [], Small));

    [Fact]
    public void Comparer_sees_a_hot_spot_8_px_off()
    {
        var plain = new MapOptions { Width = 400, Outlines = false };
        double shift = 8 * 60e-3 / 376; // the map of a picture 400 px wide is 376 px wide
        var shifted = SampleBoard.MakeField(p => SampleBoard.Celsius(new Point(p.X - shift, p.Y)));
        AssertUnlike(LayerMap.Draw(SampleBoard.Board, SampleBoard.Raster, SampleBoard.Field, 0, [], plain), LayerMap.Draw(SampleBoard.Board, SampleBoard.Raster, shifted, 0, [], plain));
    }

    /// <summary>Flow lines are not approved as a picture: where one is set decides about the next, so the last digit of a conductance moves them all.</summary>
    [Fact]
    public void Flow_lines_show()
    {
        var plain = new MapOptions { Width = 400, Outlines = false };
        AssertUnlike(Layer(0, plain), Layer(0, plain with { Flow = true }));
    }

    [Fact]
    public void Comparer_sees_another_size()
    {
        using var small = SKBitmap.Decode(Draw("layer-small"));
        using var large = SKBitmap.Decode(Draw("layer-large"));
        Assert.Equal(-1, PictureComparer.WorstWindow(small, large).Likeness);
    }

    private static byte Nudged(byte value, int i) => (byte)Math.Clamp(value + i % 3 - 1, 0, 255);

    private static void AssertUnlike(byte[] expected, byte[] actual)
    {
        using var a = SKBitmap.Decode(expected);
        using var b = SKBitmap.Decode(actual);
        Assert.InRange(PictureComparer.WorstWindow(a, b).Likeness, -1, LeastLikeness - 0.05);
    }

    private static byte[] Draw(string name) => name switch
    {
        "layer-small" => Layer(0, Small),
        "layer-large" => Layer(0, Large),
        "layer-fixed-scale" => Layer(1, new MapOptions { Width = 600, Palette = "grey", MinCelsius = 45, MaxCelsius = 70 }),
        "layer-bare" => Layer(0, new MapOptions { Width = 300, Legend = false }),
        "camera-top" => CameraView.Draw(SampleBoard.Board, SampleBoard.Field, BoardSide.Top, new MapOptions { Width = 600 }),
        "camera-bottom" => CameraView.Draw(SampleBoard.Board, SampleBoard.Field, BoardSide.Bottom, new MapOptions { Width = 400 }),
        "copper" => CopperMap.Draw(SampleBoard.Board, SampleBoard.Raster, 0, 600),
        "difference" => DifferenceMap.Draw(Milder(), new SolvedLayer(SampleBoard.Board, SampleBoard.Field, 0), new MapOptions { Width = 600 }),
        _ => throw new ArgumentOutOfRangeException(nameof(name), name, "no such picture"),
    };

    private static byte[] Layer(int layer, MapOptions options) => LayerMap.Draw(SampleBoard.Board, SampleBoard.Raster, SampleBoard.Field, layer, SampleBoard.HotSpots, options);

    private static SolvedLayer Milder() => new(SampleBoard.Board, SampleBoard.MakeField(p => 46 + 0.62 * (SampleBoard.Celsius(p) - 44)), 0);

    private static string Folder()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
            if (File.Exists(Path.Combine(folder.FullName, "HeatSpread.sln"))) return Path.Combine(folder.FullName, "fixtures", "approved", "pictures");
        throw new DirectoryNotFoundException("HeatSpread.sln is in no folder above the tests.");
    }
}
