using HeatSpread.Boards;

namespace HeatSpread.Tests.Insight;

/// <summary>
/// Random converter boards as a careful engineer would draw them: a ground pour and planes that nothing cuts, input and output pours, via holes in the planes that
/// do not merge, short tracks that lead away from the converter, and long ones along the board's edge.
/// </summary>
internal sealed class RandomBoards(int seed)
{
    public const int Ground = 0, Input = 1, Output = 2, Switch = 3, Signal = 4, Planted = 5;

    private const double Mm = 1e-3;

    private readonly Random _random = new(seed);

    public static Conditions Surroundings(double film) => new()
    {
        AmbientCelsius = 25,
        Top = new FilmSurface(film),
        Bottom = new FilmSurface(film),
        EdgesFilm = 0,
        Contacts = [],
        Watts = new Dictionary<int, double>(),
    };

    /// <summary>A sound board; the converter's place is told too, m.</summary>
    public (Board Board, Point Source) Next()
    {
        double width = Between(40, 70) * Mm, height = Between(30, 50) * Mm;
        bool isFour = _random.Next(2) == 0;
        var source = new Point(width * Between(0.35, 0.65), height * Between(0.35, 0.65));
        int last = isFour ? 3 : 1;
        var copper = new List<CopperFeature> { Pour(0, Ground, Rectangle(0.5 * Mm, 0.5 * Mm, width - 0.5 * Mm, height - 0.5 * Mm)) };
        for (int layer = 1; layer <= last; layer++) copper.Add(Pour(layer, Ground, Rectangle(0.5 * Mm, 0.5 * Mm, width - 0.5 * Mm, height - 0.5 * Mm)));
        var (vias, parts) = Converter(source, copper, last);
        Stitching(width, height, source, last, vias);
        Tracks(width, height, source, last, copper);
        return (new()
        {
            Name = "random",
            Revision = $"{seed}",
            Outline = Rectangle(0, 0, width, height),
            Rows = Stack(isFour, Between(18, 70) * 1e-6),
            Layers = isFour ? [new("L1", 1), new("L2", 3), new("L3", 5), new("L4", 7)] : [new("L1", 1), new("L2", 3)],
            Nets = [new("GND", [], false), new("VIN", [], false), new("VOUT", [], false), new("SW", [], true), new("FB", [], false), new("PG", [], false)],
            Copper = copper,
            Vias = vias,
            Parts = parts,
            Probes = [],
        }, source);
    }

    public double Between(double low, double high) => low + (high - low) * _random.NextDouble();

    public static Region Rectangle(double left, double lower, double right, double upper) =>
        new([new Polygon([new(left, lower), new(right, lower), new(right, upper), new(left, upper)])]);

    private static CopperFeature Pour(int layer, int net, Region area, double clearance = 0) => new() { Layer = layer, Net = net, Area = area, Clearance = clearance };

    private static StackRow[] Stack(bool isFour, double outer)
    {
        StackRow Mask() => new() { Kind = StackRowKind.Mask, Thickness = 20e-6, Fill = new(0.25, 0.25) };
        StackRow Copper(string name, double thickness) => new() { Kind = StackRowKind.Copper, Name = name, Thickness = thickness, Fill = new(0.8, 0.3), CopperConductivity = 390 };
        StackRow Laminate(double thickness) => new() { Kind = StackRowKind.Dielectric, Thickness = thickness, Fill = new(0.8, 0.3) };
        return isFour
            ? [Mask(), Copper("L1", outer), Laminate(0.2e-3), Copper("L2", 35e-6), Laminate(0.5e-3), Copper("L3", 35e-6), Laminate(0.2e-3), Copper("L4", outer), Mask()]
            : [Mask(), Copper("L1", outer), Laminate(1.5e-3), Copper("L2", outer), Mask()];
    }

    /// <summary>A converter on a ground pad that is part of the pour, with vias under it, and an inductor between two pours.</summary>
    private (List<ViaGroup> Vias, List<Part> Parts) Converter(Point source, List<CopperFeature> copper, int last)
    {
        double x = source.X, y = source.Y, side = Between(1.2, 2) * Mm, away = side + 0.6 * Mm;
        double reach = Between(3, 8) * Mm, half = Between(2, 4) * Mm;
        copper.Add(Pour(0, Input, Rectangle(x - away - reach, y - half, x - away, y + half), 0.25 * Mm));
        copper.Add(Pour(0, Switch, Rectangle(x + away, y - 1 * Mm, x + away + 2 * Mm, y + 1 * Mm), 0.25 * Mm));
        double outLeft = x + away + 3.5 * Mm;
        copper.Add(Pour(0, Output, Rectangle(outLeft, y - half, outLeft + reach, y + half), 0.25 * Mm));
        int rows = _random.Next(2, 4);
        var under = Enumerable.Range(0, rows * rows).Select(i => new Point(x + (i % rows - (rows - 1) / 2.0) * 0.8 * Mm, y + (i / rows - (rows - 1) / 2.0) * 0.8 * Mm));
        var vias = new List<ViaGroup> { Vias(Ground, last, clearance: 0, [.. under]) };
        Part[] parts =
        [
            new()
            {
                Id = "U1", Kind = "converter", Side = BoardSide.Top, Body = Rectangle(x - away, y - away, x + away, y + away), Watts = Between(0.6, 2),
                Terminals =
                [
                    new("GND", Ground, Rectangle(x - side, y - side, x + side, y + side)),
                    new("VIN", Input, Rectangle(x - away - 0.4 * Mm, y - 0.4 * Mm, x - away + 0.1 * Mm, y + 0.4 * Mm)),
                    new("SW", Switch, Rectangle(x + away - 0.1 * Mm, y - 0.4 * Mm, x + away + 0.4 * Mm, y + 0.4 * Mm)),
                ],
                Network = new(["junction"], [new(0, PartLinkTarget.Terminal, 0, 2), new(0, PartLinkTarget.Terminal, 1, 25), new(0, PartLinkTarget.Terminal, 2, 25)], [1]),
            },
            new()
            {
                Id = "L10", Kind = "inductor", Side = BoardSide.Top, Watts = Between(0.1, 0.5),
                Terminals =
                [
                    new("1", Switch, Rectangle(x + away + 0.8 * Mm, y - 1 * Mm, x + away + 2 * Mm, y + 1 * Mm)),
                    new("2", Output, Rectangle(outLeft, y - 1 * Mm, outLeft + 1.2 * Mm, y + 1 * Mm)),
                ],
            },
        ];
        return (vias, [.. parts]);
    }

    private void Stitching(double width, double height, Point source, int last, List<ViaGroup> vias)
    {
        var ground = new List<Point>();
        var signal = new List<Point>();
        for (int i = 0; i < 40; i++)
        {
            var at = new Point(Between(2, width / Mm - 2) * Mm, Between(2, height / Mm - 2) * Mm);
            if (double.Hypot(at.X - source.X, at.Y - source.Y) < 9 * Mm || ground.Concat(signal).Any(other => double.Hypot(at.X - other.X, at.Y - other.Y) < 2 * Mm)) continue;
            (i % 3 == 0 ? signal : ground).Add(at);
        }
        vias.Add(Vias(Ground, last, 0.2 * Mm, ground));
        vias.Add(Vias(Signal, last, 0.25 * Mm, signal));
    }

    private static ViaGroup Vias(int net, int last, double clearance, IReadOnlyList<Point> at) => new()
    {
        Net = net,
        FromLayer = 0,
        ToLayer = last,
        Drill = 0.3 * Mm,
        Plating = 25e-6,
        PlatingConductivity = 390,
        FillConductivity = 0,
        Pad = 0.5 * Mm,
        Clearance = clearance,
        At = at,
    };

    private void Tracks(double width, double height, Point source, int last, List<CopperFeature> copper)
    {
        for (int i = 0; i < 4; i++)
        {
            // away from the converter, as its heat goes, and soon down through a via
            double angle = Between(0.3, Math.PI - 0.3) * (i % 2 == 0 ? 1 : -1), from = Between(4, 5) * Mm, to = from + Between(0.8, 1.8) * Mm;
            copper.Add(Track(0, Signal, [At(angle, from), At(angle, to)]));
            Point At(double a, double r) => new(source.X + r * Math.Cos(a), source.Y + r * Math.Sin(a));
        }
        double edge = Between(1.5, 2.5) * Mm;
        copper.Add(Track(0, Signal, [new(edge, edge), new(width - edge, edge)]));
        copper.Add(Track(last, Signal, [new(edge, height - edge), new(edge, edge)]));
    }

    private CopperFeature Track(int layer, int net, IReadOnlyList<Point> path) =>
        new() { Layer = layer, Net = net, Track = new(path, Between(0.15, 0.25) * Mm), Clearance = 0.15 * Mm };
}
