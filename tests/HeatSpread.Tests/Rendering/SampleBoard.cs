using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;

namespace HeatSpread.Tests.Rendering;

/// <summary>An invented 60 x 45 mm converter board with a formula for a field: enough of everything to draw, and no solve behind it.</summary>
internal static class SampleBoard
{
    private const double Millimetre = 1e-3;

    public static Board Board { get; } = MakeBoard();

    public static BoardGrid Grid { get; } = BoardGrid.Over(Board.Outline.Bounds, 0.25e-3);

    public static TemperatureField Field { get; } = MakeField(Celsius);

    public static CopperRaster Raster { get; } = CopperRaster.Build(Board, Grid, CancellationToken.None);

    public static IReadOnlyList<HotSpot> HotSpots { get; } =
    [
        new(1, Celsius(Place(22, 27)), 0, Place(22, 27), "SW", "U1"),
        new(2, Celsius(Place(36, 29)), 0, Place(36, 29), "VOUT", "L1"),
        new(3, Celsius(Place(49, 10)), 0, Place(49, 10), "GND", "Q3"),
    ];

    /// <summary>Three warm places, and a step of some kelvin across the cut that runs up from (12, 20) to (30, 20).</summary>
    public static double Celsius(Point p)
    {
        double x = p.X / Millimetre, y = p.Y / Millimetre;
        double along = 1 / (1 + Math.Exp(-(x - 11) / 1.5)) / (1 + Math.Exp((x - 31) / 1.5));
        double step = 3.5 * along * Math.Tanh((y - 20) / 0.35) * Math.Exp(-Math.Abs(y - 20) / 9);
        return 41 + 27 * Bump(x - 22, y - 27, 8.5) + 9 * Bump(x - 22, y - 27, 2.6) + 15 * Bump(x - 36, y - 29, 7) + 13 * Bump(x - 49, y - 10, 5) + 9 * Bump(x - 30, y - 24, 22) + step;
    }

    public static TemperatureField MakeField(Func<Point, double> celsius)
    {
        var values = new float[Grid.CellCount];
        for (int row = 0; row < Grid.Rows; row++)
        {
            for (int column = 0; column < Grid.Columns; column++)
            {
                var centre = Grid.Centre(column, row);
                values[row * Grid.Columns + column] = IsInside(Board.Outline, centre) ? (float)celsius(centre) : float.NaN;
            }
        }
        return new TemperatureField
        {
            Grid = Grid,
            RowCelsius = [.. Board.Rows.Select(_ => values)],
            TopFaceCelsius = values,
            BottomFaceCelsius = [.. values.Select(v => v - 1.5f)],
            Parts = [.. Board.Parts.Select(p => Temperatures(p, celsius))],
            Heat = new HeatBalance(2, 1, 1, 0, [], 0),
            Solve = new SolveFigures(1, 1, 0, 0, 0),
        };
    }

    public static Point Place(double x, double y) => new(x * Millimetre, y * Millimetre);

    private static bool IsInside(Region region, Point p) => region.Polygons.Any(polygon => polygon.Rings.Sum(ring => Crossings(ring, p)) % 2 == 1);

    private static int Crossings(IReadOnlyList<Point> ring, Point p)
    {
        int count = 0;
        for (int i = 0; i < ring.Count; i++)
        {
            Point a = ring[i], b = ring[(i + 1) % ring.Count];
            if (a.Y > p.Y != b.Y > p.Y && p.X < a.X + (p.Y - a.Y) / (b.Y - a.Y) * (b.X - a.X)) count++;
        }
        return count;
    }

    private static double Bump(double x, double y, double radius) => Math.Exp(-(x * x + y * y) / (2 * radius * radius));

    private static PartTemperatures Temperatures(Part part, Func<Point, double> celsius)
    {
        var box = (part.Body ?? part.Terminals[0].Pad).Bounds;
        double board = celsius(new((box.MinX + box.MaxX) / 2, (box.MinY + box.MaxY) / 2));
        double[] nodes = part.Network is null ? [] : [board + 6, board + 3];
        return new PartTemperatures(part.Watts, nodes, [.. part.Terminals.Select(_ => board)], [.. part.Terminals.Select(_ => 0.0)], board);
    }

    private static Board MakeBoard() => new()
    {
        Name = "Sample converter",
        Revision = "B",
        Outline = new Region([new Polygon(Rounded(0, 0, 60, 45, 3), [Circle(55, 40, 1.6), Circle(5, 40, 1.6), Rounded(38, 3, 43, 13, 1)])]),
        Rows = [Mask, Copper("L1", 50e-6), Dielectric(200e-6), Copper("L2", 35e-6), Dielectric(1e-3), Copper("L3", 35e-6), Dielectric(200e-6), Copper("L4", 50e-6), Mask],
        Layers = [new("L1", 1), new("L2", 3), new("L3", 5), new("L4", 7)],
        Nets = [new("GND", [], false), new("SW", [], true), new("VOUT", [], false), new("VIN", [], false), new("FB", [], false)],
        Copper = [.. CopperOfTop(), .. Enumerable.Range(1, 3).SelectMany(CopperOfPlane)],
        Vias = [Vias(0, 18, 23, 4, 2, 1.2), Vias(0, 46, 6, 4, 4, 1.5), Vias(2, 44, 27, 3, 5, 1.3)],
        Parts = MakeParts(),
        Probes = [],
    };

    private static StackRow Mask => new() { Kind = StackRowKind.Mask, Thickness = 20e-6, Fill = new(0.2, 0.2) };

    private static StackRow Copper(string name, double thickness) =>
        new() { Kind = StackRowKind.Copper, Name = name, Thickness = thickness, Fill = new(0.8, 0.3), CopperConductivity = 390 };

    private static StackRow Dielectric(double thickness) => new() { Kind = StackRowKind.Dielectric, Thickness = thickness, Fill = new(0.8, 0.3) };

    private static IEnumerable<CopperFeature> CopperOfTop()
    {
        yield return Area(0, 0, Rounded(0.6, 0.6, 59.4, 44.4, 2.6));
        yield return Area(0, -1, Rounded(27.6, 22.6, 58.4, 38.4, 1.4), clear: true);
        yield return Area(0, 2, Rounded(39, 23, 58, 38, 1.2));
        yield return Area(0, 1, Rounded(28, 23, 38.6, 38, 1.2));
        yield return Area(0, -1, Rounded(2.6, 21.6, 17.4, 36.4, 1.4), clear: true);
        yield return Area(0, 3, Rounded(3, 22, 17, 36, 1.2));
        yield return Line(0, 4, 0.2, 0.2, (30, 16), (30, 20), (12, 20), (12, 10), (9, 7));
        yield return Line(0, 4, 0.15, 0.2, (24, 6), (34, 6), (36, 8), (36, 18), (45, 18));
        yield return Line(0, 4, 0.15, 0.2, (24, 4.5), (35, 4.5), (37, 6.5), (37, 16), (52, 16), (52, 13));
    }

    private static IEnumerable<CopperFeature> CopperOfPlane(int layer)
    {
        yield return Area(layer, 0, Rounded(0.6, 0.6, 59.4, 44.4, 2.6));
        yield return Line(layer, 4, 0.3, 0.25, (8, 8), (20, 8 + 4 * layer), (50, 8 + 4 * layer), (56, 20));
    }

    private static CopperFeature Area(int layer, int net, IReadOnlyList<Point> ring, bool clear = false) =>
        new() { Layer = layer, Net = net, IsClear = clear, Area = new Region([new Polygon(ring)]) };

    private static CopperFeature Line(int layer, int net, double width, double clearance, params (double X, double Y)[] path) => new()
    {
        Layer = layer,
        Net = net,
        Track = new Track([.. path.Select(p => Place(p.X, p.Y))], width * Millimetre),
        Clearance = clearance * Millimetre,
    };

    private static ViaGroup Vias(int net, double x, double y, int columns, int rows, double pitch) => new()
    {
        Net = net,
        FromLayer = 0,
        ToLayer = 3,
        Drill = 0.3e-3,
        Plating = 25e-6,
        PlatingConductivity = 390,
        FillConductivity = 0,
        Pad = 0.6e-3,
        Clearance = 0.3e-3,
        At = [.. from row in Enumerable.Range(0, rows) from column in Enumerable.Range(0, columns) select Place(x + column * pitch, y + row * pitch)],
    };

    private static Part[] MakeParts() =>
    [
        MakePart("U1", 20, 25, 24, 29, 1.4, 1, network: true),
        MakePart("L1", 32, 25, 40, 33, 0.5, 2, network: true),
        MakePart("Q3", 47, 8, 51, 12, 0.3, 0),
        MakePart("C1", 10, 25, 12, 28, 0, 3),
        MakePart("C2", 10, 30, 12, 33, 0, 3),
        MakePart("C10", 47, 24, 50, 25.6, 0, 2),
        MakePart("C11", 47, 35, 50, 36.6, 0, 2),
        MakePart("R1", 27, 10, 28.6, 10.8, 0, 4),
        MakePart("R2", 27, 11.4, 28.6, 12.2, 0, 4),
        MakePart("R3", 27, 12.8, 28.6, 13.6, 0, 4),
        MakePart("J1", 1, 8, 7, 18, 0, 3),
        MakePart("U7", 14, 8, 19, 13, 0.1, 0, BoardSide.Bottom),
        MakePart("R9", 30, 8, 31.6, 8.8, 0, 0, BoardSide.Bottom),
    ];

    private static Part MakePart(string id, double left, double bottom, double right, double top, double watts, int net, BoardSide side = BoardSide.Top, bool network = false)
    {
        double width = (right - left) * 0.22, inset = (top - bottom) * 0.1;
        return new Part
        {
            Id = id,
            Kind = "part",
            Side = side,
            Body = new Region([new Polygon(Rounded(left, bottom, right, top, 0))]),
            Terminals =
            [
                new Terminal("1", net, new Region([new Polygon(Rounded(left, bottom + inset, left + width, top - inset, 0))])),
                new Terminal("2", 0, new Region([new Polygon(Rounded(right - width, bottom + inset, right, top - inset, 0))])),
            ],
            Watts = watts,
            Network = network ? new PartNetwork(["junction", "case"], [new PartLink(0, PartLinkTarget.Node, 1, 5)], [1, 0]) : null,
        };
    }

    private static Point[] Rounded(double left, double bottom, double right, double top, double radius)
    {
        if (radius <= 0) return [Place(left, bottom), Place(right, bottom), Place(right, top), Place(left, top)];
        var corners = new (double X, double Y)[] { (right - radius, top - radius), (left + radius, top - radius), (left + radius, bottom + radius), (right - radius, bottom + radius) };
        return [.. from corner in Enumerable.Range(0, 4) from i in Enumerable.Range(0, 9) select OnCircle(corners[corner].X, corners[corner].Y, radius, 90 * corner + 90.0 * i / 8)];
    }

    private static Point[] Circle(double x, double y, double radius) => [.. Enumerable.Range(0, 48).Select(i => OnCircle(x, y, radius, i * 7.5))];

    private static Point OnCircle(double x, double y, double radius, double degrees)
    {
        var (sin, cos) = Math.SinCos(degrees * Math.PI / 180);
        return Place(x + radius * cos, y + radius * sin);
    }
}
