using HeatSpread.Boards;

namespace HeatSpread.Tests.Thermal;

/// <summary>Boards made in code for the tests, lengths in millimetres.</summary>
internal static class TestBoards
{
    public static Region Box(double x0, double y0, double x1, double y1) => Ring((x0, y0), (x1, y0), (x1, y1), (x0, y1));

    public static Region Ring(params (double X, double Y)[] points) => new([new Polygon([.. points.Select(p => new Point(p.X * 1e-3, p.Y * 1e-3))])]);

    public static CopperFeature Area(Region area, int net = 0, double clearanceMm = 0, bool clear = false) => new()
    {
        Layer = 0,
        Net = net,
        Area = area,
        Clearance = clearanceMm * 1e-3,
        IsClear = clear,
    };

    public static CopperFeature Track(double widthMm, int net, double clearanceMm, params (double X, double Y)[] path) => new()
    {
        Layer = 0,
        Net = net,
        Track = new Track([.. path.Select(p => new Point(p.X * 1e-3, p.Y * 1e-3))], widthMm * 1e-3),
        Clearance = clearanceMm * 1e-3,
    };

    /// <summary>One copper layer of 35 µm on 1 mm of laminate.</summary>
    public static Board OneLayer(double widthMm, double heightMm, params CopperFeature[] copper) => new()
    {
        Name = "test",
        Revision = "A",
        Outline = Box(0, 0, widthMm, heightMm),
        Rows =
        [
            new StackRow { Kind = StackRowKind.Copper, Name = "L1", Thickness = 35e-6, Fill = new Conductivity(0.8, 0.3), CopperConductivity = 390 },
            new StackRow { Kind = StackRowKind.Dielectric, Thickness = 1e-3, Fill = new Conductivity(0.8, 0.3) },
        ],
        Layers = [new CopperLayer("L1", 0)],
        Nets = [new Net("A", [], false), new Net("B", [], false), new Net("C", [], false)],
        Copper = copper,
        Vias = [],
        Parts = [],
        Probes = [],
    };
}
