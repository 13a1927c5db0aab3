using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight;

/// <summary>A board of two layers, 40 × 30 mm, on which each kind of finding is provoked or not. Lengths in mm.</summary>
internal static class FindingBoards
{
    public const int Ground = 0, Output = 1, Quiet = 2;

    public const double Pitch = 0.5e-3;

    /// <summary>Both layers whole pours of GND, U1 of 1 W on a pad in the middle: nothing wrong with it.</summary>
    public static Board Calm { get; } = new()
    {
        Name = "calm",
        Revision = "A",
        Outline = Rectangle(0, 0, 40, 30),
        Rows =
        [
            new() { Kind = StackRowKind.Copper, Name = "L1", Thickness = 35e-6, Fill = new(0.3, 0.3), CopperConductivity = 390 },
            new() { Kind = StackRowKind.Dielectric, Thickness = 1.5e-3, Fill = new(0.8, 0.3) },
            new() { Kind = StackRowKind.Copper, Name = "L2", Thickness = 35e-6, Fill = new(0.3, 0.3), CopperConductivity = 390 },
        ],
        Layers = [new("L1", 0), new("L2", 2)],
        Nets = [new("GND", [], false), new("OUT", [], false), new("AGND", [], false)],
        Copper = [Area(0, Ground, 0.5, 0.5, 39.5, 29.5), Area(1, Ground, 0.5, 0.5, 39.5, 29.5)],
        Vias = [],
        Parts = [OnPad("U1", Ground, 1, 17, 12, 23, 18)],
        Probes = [],
    };

    public static Part OnPad(string id, int net, double watts, double left, double lower, double right, double upper) =>
        new() { Id = id, Kind = "ic", Side = BoardSide.Top, Watts = watts, Terminals = [new("1", net, Rectangle(left, lower, right, upper))] };

    public static CopperFeature Area(int layer, int net, double left, double lower, double right, double upper, double clearance = 0) =>
        new() { Layer = layer, Net = net, Area = Rectangle(left, lower, right, upper), Clearance = clearance * 1e-3 };

    public static CopperFeature Clear(int layer, double left, double lower, double right, double upper) => new() { Layer = layer, Net = -1, IsClear = true, Area = Rectangle(left, lower, right, upper) };

    public static CopperFeature Track(int layer, int net, double width, (double X, double Y) from, (double X, double Y) to) =>
        new() { Layer = layer, Net = net, Track = new([new(from.X * 1e-3, from.Y * 1e-3), new(to.X * 1e-3, to.Y * 1e-3)], width * 1e-3) };

    public static ViaGroup Vias(int net, params (double X, double Y)[] at) => new()
    {
        Net = net,
        FromLayer = 0,
        ToLayer = 1,
        Drill = 0.3e-3,
        Plating = 25e-6,
        PlatingConductivity = 390,
        FillConductivity = 0,
        Pad = 0.5e-3,
        Clearance = 0.2e-3,
        At = [.. at.Select(p => new Point(p.X * 1e-3, p.Y * 1e-3))],
    };

    public static Region Rectangle(double left, double lower, double right, double upper) => SampleBoards.Rectangle(left * 1e-3, lower * 1e-3, right * 1e-3, upper * 1e-3);

    public static BoardSolution Analyse(Board board) =>
        BoardAnalysis.Analyse(board, SampleBoards.StillRoom, new(Pitch, null), threads: 2, progress: null, TestContext.Current.CancellationToken);

    /// <summary>A solve of its own, to the last digit.</summary>
    public static TemperatureField Solve(Board board, Conditions? conditions = null)
    {
        var token = TestContext.Current.CancellationToken;
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, Pitch), token);
        using var solved = ThermalSolve.Run(board, conditions ?? SampleBoards.StillRoom, raster, threads: 2, progress: null, token);
        return solved.Read();
    }
}
