using HeatSpread.Boards;
using HeatSpread.Tests.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Thermal.Revisions;

/// <summary>A small converter of three copper layers, and the ways in which its revisions differ.</summary>
internal static class RevisionBoards
{
    public const double Pitch = 0.5e-3;

    public static Conditions Room { get; } = SampleBoards.StillRoom with { EdgesFilm = 8 };

    /// <summary>GND pours on L1 and L3, OUT on L1 at the right; U1 with a network, L1 inductor-like part on two pads, vias under U1.</summary>
    public static Board Whole { get; } = new()
    {
        Name = "revisions",
        Revision = "A",
        Outline = Rectangle(0, 0, 24, 16),
        Rows =
        [
            new() { Kind = StackRowKind.Copper, Name = "L1", Thickness = 50e-6, Fill = new(0.3, 0.3), CopperConductivity = 390 },
            new() { Kind = StackRowKind.Dielectric, Name = "prepreg", Thickness = 0.2e-3, Fill = new(0.8, 0.3) },
            new() { Kind = StackRowKind.Copper, Name = "L2", Thickness = 35e-6, Fill = new(0.8, 0.3), CopperConductivity = 390 },
            new() { Kind = StackRowKind.Dielectric, Name = "core", Thickness = 0.8e-3, Fill = new(0.8, 0.3) },
            new() { Kind = StackRowKind.Copper, Name = "L3", Thickness = 35e-6, Fill = new(0.8, 0.3), CopperConductivity = 390 },
            new() { Kind = StackRowKind.Mask, Thickness = 20e-6, Fill = new(0.25, 0.25) },
        ],
        Layers = [new("L1", 0), new("L2", 2), new("L3", 4)],
        Nets = [new("GND", [], false), new("OUT", [], false), new("FB", [], false)],
        Copper =
        [
            Area(0, 0, 1, 1, 14, 15),
            Area(0, 1, 15, 3, 23, 13),
            Area(1, 0, 2, 2, 22, 14),
            Area(2, 0, 1, 1, 23, 15),
        ],
        Vias = [Vias(0, [(4.2, 5.3), (5.1, 5.3), (4.2, 6.4), (5.1, 6.4)])],
        Parts =
        [
            new()
            {
                Id = "U1",
                Kind = "ic",
                Side = BoardSide.Top,
                Body = Rectangle(3, 4, 7, 8),
                Terminals = [new("GND", 0, Rectangle(3.5, 4.5, 6.5, 7.5)), new("OUT", 1, Rectangle(15.2, 5, 16, 6))],
                Watts = 1.2,
                Network = new(["junction", "case"], [new(0, PartLinkTarget.Terminal, 0, 4), new(0, PartLinkTarget.Node, 1, 20), new(1, PartLinkTarget.Ambient, -1, 300), new(0, PartLinkTarget.Terminal, 1, 60)], [1, 0]),
            },
            new()
            {
                Id = "R1",
                Kind = "resistor",
                Side = BoardSide.Top,
                Terminals = [new("1", 1, Rectangle(17, 5, 18.2, 7)), new("2", 1, Rectangle(20, 5, 21.3, 7))],
                Watts = 0.4,
            },
        ],
        Probes = [],
    };

    public static CopperFeature Area(int layer, int net, double left, double lower, double right, double upper, double clearance = 0) =>
        new() { Layer = layer, Net = net, Area = Rectangle(left, lower, right, upper), Clearance = clearance * 1e-3 };

    public static CopperFeature Track(int layer, int net, double width, double clearance, params (double X, double Y)[] path) =>
        new() { Layer = layer, Net = net, Track = new([.. path.Select(p => new Point(p.X * 1e-3, p.Y * 1e-3))], width * 1e-3), Clearance = clearance * 1e-3 };

    public static ViaGroup Vias(int net, (double X, double Y)[] at, int from = 0, int to = 2) => new()
    {
        Net = net,
        FromLayer = from,
        ToLayer = to,
        Drill = 0.3e-3,
        Plating = 25e-6,
        PlatingConductivity = 390,
        FillConductivity = 0,
        Pad = 0.6e-3,
        At = [.. at.Select(p => new Point(p.X * 1e-3, p.Y * 1e-3))],
    };

    public static Region Rectangle(double left, double lower, double right, double upper) => SampleBoards.Rectangle(left * 1e-3, lower * 1e-3, right * 1e-3, upper * 1e-3);

    /// <summary>A trace of FB from edge to edge through the ground pour of L1, right of U1.</summary>
    public static Board Cut { get; } = Whole with { Copper = [.. Whole.Copper, Track(0, 2, 0.2, 0.4, (9.3, -1), (9.3, 17))] };

    /// <summary>Solves on the grid of a box, that of the board's outline unless given.</summary>
    public static SolvedNetwork Solve(Board board, Conditions? conditions = null, Box? box = null)
    {
        var token = TestContext.Current.CancellationToken;
        var raster = CopperRaster.Build(board, BoardGrid.Over(box ?? board.Outline.Bounds, Pitch), token);
        return ThermalSolve.Run(board, conditions ?? Room, raster, threads: 2, progress: null, token);
    }
}
