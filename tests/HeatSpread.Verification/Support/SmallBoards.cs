using HeatSpread.Boards;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification.Support;

/// <summary>Boards with all that makes a network unsymmetrical, for laws that hold whatever the board.</summary>
internal static class SmallBoards
{
    public const double Length = 20 * Millimetre, Width = 14 * Millimetre;

    public static StackRow[] Stack =>
    [
        Laminate(20 * Micrometre, 0.25),
        Copper("L1", 50 * Micrometre),
        Laminate(400 * Micrometre, new Conductivity(0.8, 0.35)),
        Copper("L2", 35 * Micrometre),
        Laminate(20 * Micrometre, 0.25),
    ];

    /// <summary>An L-shaped outline with an opening, a slanted cut, vias, three parts (one with a network) and a contact; every film and the rim lose heat.</summary>
    /// <param name="mirrored">The same seen in a mirror along y.</param>
    /// <param name="watts">Of the three parts.</param>
    public static (Board Board, Conditions Conditions) WithEverything(bool mirrored = false, double[]? watts = null)
    {
        Point Place(Point p) => mirrored ? new(Length - p.X, p.Y) : p;
        Region Area(double left, double lower, double right, double upper) => Rectangle(left * 1e-3, lower * 1e-3, right * 1e-3, upper * 1e-3).Map(Place);
        var outline = new Region([new Polygon(
            [new(0, 0), new(Length, 0), new(Length, 9e-3), new(13e-3, 9e-3), new(13e-3, Width), new(0, Width)],
            [[new(6e-3, 9e-3), new(9e-3, 9e-3), new(9e-3, 11.3e-3), new(6e-3, 11.3e-3)]])]).Map(Place);
        double[] power = watts ?? [1.4, 0.5, 0.2];
        var network = new PartNetwork(["junction", "case"], [new(0, PartLinkTarget.Terminal, 0, 4), new(0, PartLinkTarget.Node, 1, 20), new(1, PartLinkTarget.Ambient, -1, 300), new(1, PartLinkTarget.Board, -1, 60)], [1, 0]);
        Part[] parts =
        [
            OnPad("U1", Area(3, 3, 5, 4.7), power[0], network: network) with { Body = Area(2, 2, 6, 6) },
            OnPad("L1", Area(15, 3, 17, 6), power[1]),
            OnPad("Q2", Area(2, 11, 3.4, 13), power[2], BoardSide.Bottom),
        ];
        CopperFeature[] copper =
        [
            Pour(Area(0.5, 0.5, 19.5, 8.5)),
            Cut(Place(new(9e-3, -1e-3)), Place(new(12e-3, 10e-3)), 0.2e-3),
            Pour(Area(0.5, 0.5, 12.5, 13.5), layer: 1),
            Track(Place(new(1e-3, 12e-3)), Place(new(11e-3, 8e-3)), 0.3e-3),
        ];
        var vias = new ViaGroup { Net = 0, FromLayer = 0, ToLayer = 1, Drill = 0.3e-3, Plating = 25e-6, PlatingConductivity = 390, FillConductivity = 0.3, Pad = 0.6e-3, At = [Place(new(3.3e-3, 3.3e-3)), Place(new(4.1e-3, 4.2e-3)), Place(new(8e-3, 7e-3))] };
        var board = Board(outline, Stack, copper, parts, [vias], [new("TP1", 0, Place(new(7.3e-3, 3.1e-3))), new("TP2", 1, Place(new(11.2e-3, 12.1e-3)))]);
        return (board, Surroundings(top: 12, bottom: 9, edges: 6, contacts: Sink(Area(0.7, 7, 3.3, 9.1), 800)));
    }
}
