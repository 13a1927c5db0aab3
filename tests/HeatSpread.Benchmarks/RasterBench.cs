using System.Diagnostics;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>Times the raster of one dense layer: 100 × 100 mm, 40 pours, 5,000 tracks with clearances, 400 × 320 cells.</summary>
internal static class RasterBench
{
    public static void Run(int repetitions)
    {
        foreach (string tracks in (ReadOnlySpan<string>)["upright", "level", "crossing"])
        {
            var board = DenseLayer(tracks);
            var outline = board.Outline.Bounds;
            var grid = new BoardGrid { Columns = 400, Rows = 320, Origin = new Point(0, 0), PitchX = outline.Width / 400, PitchY = outline.Height / 320 };
            var times = new List<double>();
            double area = 0;
            for (int i = 0; i < repetitions + 2; i++)
            {
                long start = Stopwatch.GetTimestamp();
                var raster = CopperRaster.Build(board, grid, CancellationToken.None);
                if (i >= 2) times.Add(Stopwatch.GetElapsedTime(start).TotalMilliseconds);
                area = raster.Layers[0].CopperArea * 1e6;
            }
            times.Sort();
            Console.WriteLine(FormattableString.Invariant($"raster {tracks} tracks: median {times[times.Count / 2]:0} ms, least {times[0]:0} ms, copper {area:0.000} mm²"));
        }
    }

    /// <summary>Tracks in bundles along y or along x, or between random places.</summary>
    private static Board DenseLayer(string tracks)
    {
        var random = new Random(3);
        double Uniform(double a, double b) => a + (b - a) * random.NextDouble();
        var copper = new List<CopperFeature>();
        for (int i = 0; i < 40; i++)
        {
            double x = Uniform(0, 85), y = Uniform(0, 85), r = Uniform(5, 15);
            copper.Add(Feature(i % 5) with { Area = new Region([new Polygon([.. Enumerable.Range(0, 24).Select(k => P(x + r * (1 + Math.Cos(k * Math.PI / 12)) / 2, y + r * (1 + Math.Sin(k * Math.PI / 12)) / 2))])]) });
        }
        for (int i = 0; i < 5000; i++)
        {
            Point[] path;
            if (tracks == "crossing")
            {
                double x = Uniform(1, 99), y = Uniform(1, 99), angle = Uniform(0, 2 * Math.PI), length = Uniform(3, 20);
                path = [P(x, y), P(Math.Clamp(x + length * Math.Cos(angle), 1, 99), Math.Clamp(y + length * Math.Sin(angle), 1, 99))];
            }
            else
            {
                double x = 1 + 0.35 * (i % 280), y = 1 + 5.4 * (i / 280), end = y + Uniform(2, 4);
                path = tracks == "level" ? [P(y, x), P(end, x), P(end + 1, x + 1)] : [P(x, y), P(x, end), P(x + 1, end + 1)];
            }
            copper.Add(Feature(5 + i) with { Track = new Track(path, 0.15e-3), Clearance = 0.1e-3 });
        }
        return new Board
        {
            Name = "dense",
            Revision = "",
            Outline = new Region([new Polygon([P(0, 0), P(100, 0), P(100, 100), P(0, 100)])]),
            Rows = [new StackRow { Kind = StackRowKind.Copper, Name = "L1", Thickness = 35e-6, Fill = new Conductivity(0.8, 0.3), CopperConductivity = 390 }],
            Layers = [new CopperLayer("L1", 0)],
            Nets = [.. Enumerable.Range(0, 5005).Select(i => new Net($"N{i}", [], false))],
            Copper = copper,
            Vias = [],
            Parts = [],
            Probes = [],
        };
    }

    private static CopperFeature Feature(int net) => new() { Layer = 0, Net = net };

    private static Point P(double x, double y) => new(x * 1e-3, y * 1e-3);
}
