using System.Diagnostics;
using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>
/// Steps of a solve, bare and with what costs: 200 parts with networks and 1,000 terminals, 50,000 vias, both. 160 × 120 mm, four copper layers in six sheets of stack and more,
/// 0.5 mm. It covers the placing of pads, the barrels, the nodes' part of the solver and the reading of paths, which the other benchmarks do not.
/// </summary>
internal static class PartsAndViasBench
{
    private const double Width = 0.16, Height = 0.12;

    private static readonly (string Name, int Parts, int Vias)[] cases =
        [("bare, one part", 1, 0), ("200 parts, 1,000 terminals", 200, 0), ("50,000 vias in one entry", 1, 50_000), ("both", 200, 50_000)];

    public static int Run(int repetitions)
    {
        Console.WriteLine("| board | unknowns | iterations | raster s | assemble s | solve s | read s | total s | set-up, processor s | unbalanced share |");
        Console.WriteLine("| --- | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: | ---: |");
        foreach (var (name, parts, vias) in cases)
        {
            var board = BoardOf(parts, vias);
            double[][] runs = [.. Enumerable.Range(0, repetitions + 1).Select(_ => Once(board)).Skip(1)];
            double Median(int column) => runs.Select(run => run[column]).Order().ElementAt(runs.Length / 2);
            Console.WriteLine(FormattableString.Invariant(
                $"| {name} | {Median(4):0} | {Median(5):0} | {Median(0):0.000} | {Median(1):0.000} | {Median(2):0.000} | {Median(3):0.000} | {Median(7):0.000} | {Median(8):0.000} | {Median(6):0e+0} |"));
        }
        return 0;
    }

    private static double[] Once(Board board)
    {
        var conditions = new Conditions { AmbientCelsius = 25, Top = new FilmSurface(12), Bottom = new FilmSurface(12), EdgesFilm = 0, Contacts = [], Watts = new Dictionary<int, double>() };
        var clock = Stopwatch.StartNew();
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 0.5e-3), CancellationToken.None);
        double rasterSeconds = clock.Elapsed.TotalSeconds;
        var solved = ThermalSolve.Run(board, conditions, raster, threads: 2, progress: null, CancellationToken.None);
        double solvedSeconds = clock.Elapsed.TotalSeconds;
        var field = solved.Read();
        double total = clock.Elapsed.TotalSeconds;
        return [rasterSeconds, field.Solve.AssembleSeconds, field.Solve.SolveSeconds, total - solvedSeconds, field.Solve.Unknowns, field.Solve.Iterations, Math.Abs(field.Heat.ImbalanceWatts) / field.Heat.DissipatedWatts, total, SetUp(solved)];
    }

    /// <summary>Processor seconds of the solver's set-up alone, which a solve's seconds hold too.</summary>
    private static double SetUp(SolvedNetwork solved)
    {
        var process = Process.GetCurrentProcess();
        var before = process.TotalProcessorTime;
        MultigridSolver.Prepare(solved.Network.Grid, 2, CancellationToken.None).Dispose();
        process.Refresh();
        return (process.TotalProcessorTime - before).TotalSeconds;
    }

    private static Board BoardOf(int parts, int vias)
    {
        var whole = Rectangle(0, 0, Width, Height);
        StackRow Copper(string name) => new() { Kind = StackRowKind.Copper, Name = name, Thickness = 35e-6, Fill = new Conductivity(0.8, 0.3), CopperConductivity = 390 };
        StackRow Core(double thickness) => new() { Kind = StackRowKind.Dielectric, Thickness = thickness, Fill = new Conductivity(0.8, 0.3) };
        var random = new Random(7);
        var tracks = Enumerable.Range(0, 400).Select(i => new CopperFeature
        {
            Layer = i % 2 * 3,
            Net = 1,
            Clearance = 0.2e-3,
            Track = new Track([new(random.NextDouble() * Width, random.NextDouble() * Height), new(random.NextDouble() * Width, random.NextDouble() * Height)], 0.3e-3),
        });
        return new Board
        {
            Name = "parts and vias",
            Revision = "",
            Outline = whole,
            Rows = [Copper("L1"), Core(0.2e-3), Copper("L2"), Core(1.1e-3), Copper("L3"), Core(0.2e-3), Copper("L4")],
            Layers = [.. Enumerable.Range(0, 4).Select(layer => new CopperLayer($"L{layer + 1}", layer * 2))],
            Nets = [new Net("GND", [], false), new Net("SIG", [], false)],
            Copper = [.. Enumerable.Range(0, 4).Select(layer => new CopperFeature { Layer = layer, Net = 0, Area = whole }), .. tracks],
            Vias = vias == 0 ? [] : [new ViaGroup
            {
                Net = 0, FromLayer = 0, ToLayer = 3, Drill = 0.3e-3, Plating = 25e-6, PlatingConductivity = 390, FillConductivity = 0, Pad = 0.5e-3, Clearance = 0.15e-3,
                At = [.. Enumerable.Range(0, vias).Select(i => new Point(0.5e-3 + i % 250 * (Width - 1e-3) / 250, 0.5e-3 + i / 250 * (Height - 1e-3) / (vias / 250)))],
            }],
            Parts = [.. Enumerable.Range(0, parts).Select(i => Part(i, 10.0 / parts))],
            Probes = [],
        };
    }

    /// <summary>Parts in rows of 20: junction, case and base over four pins and an exposed pad.</summary>
    private static Part Part(int index, double watts)
    {
        double x = 3e-3 + index % 20 * 7.7e-3, y = 4e-3 + index / 20 * 11.3e-3;
        Region Pad(int pin) => pin == 4 ? Rectangle(x + 1e-3, y + 1e-3, x + 3e-3, y + 3e-3) : Rectangle(x + pin % 2 * 3.6e-3, y + pin / 2 * 3.6e-3, x + pin % 2 * 3.6e-3 + 0.4e-3, y + pin / 2 * 3.6e-3 + 0.4e-3);
        return new Part
        {
            Id = $"U{index + 1}",
            Kind = "ic",
            Side = index % 3 == 0 ? BoardSide.Bottom : BoardSide.Top,
            Body = Rectangle(x, y, x + 4e-3, y + 4e-3),
            Terminals = [.. Enumerable.Range(0, 5).Select(pin => new Terminal($"{pin}", pin % 2, Pad(pin)))],
            Watts = watts,
            Network = new PartNetwork(
                ["junction", "case", "base"],
                [
                    new(0, PartLinkTarget.Node, 1, 15), new(0, PartLinkTarget.Node, 2, 3), new(1, PartLinkTarget.Ambient, -1, 500), new(1, PartLinkTarget.Board, -1, 80),
                    .. Enumerable.Range(0, 5).Select(pin => new PartLink(2, PartLinkTarget.Terminal, pin, pin == 4 ? 1 : 60)),
                ],
                [0.9, 0.1, 0]),
        };
    }

    private static Region Rectangle(double left, double lower, double right, double upper) =>
        new([new Polygon([new(left, lower), new(right, lower), new(right, upper), new(left, upper)])]);
}
