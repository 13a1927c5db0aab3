using HeatSpread.Boards;

namespace HeatSpread.Verification.Support;

/// <summary>
/// Boards as a random board team would draw them: one to four copper layers, pours with cuts and tracks in them, vias, parts from small pads on bare laminate to
/// exposed pads with a network, probes; films, sometimes a heat sink. The same seed gives the same board. (Our own invention; the ranges are common practice, no source.)
/// </summary>
internal sealed class RandomBoard
{
    private const double Mm = 1e-3, Um = 1e-6, Edge = 1.5;

    private readonly Random _random;
    private readonly double _width, _height;
    private readonly int _layers;

    /// <summary>Side of the square that is missing at the upper right corner, mm; 0 without.</summary>
    private double _notch;

    private RandomBoard(int seed)
    {
        _random = new Random(seed);
        (_width, _height) = (Between(24, 50), Between(18, 36));
        _layers = _random.Next(8) switch { 0 => 1, <= 3 => 2, _ => 4 };
    }

    /// <summary>Board and conditions of one seed.</summary>
    public static (Board Board, Conditions Conditions) Of(int seed)
    {
        var made = new RandomBoard(seed);
        var parts = made.Parts();
        var outline = made.Outline();
        parts = [.. parts.Select(made.OnBoard)];
        var board = new Board
        {
            Name = "random " + seed.ToString(System.Globalization.CultureInfo.InvariantCulture),
            Revision = "A",
            Outline = outline,
            Rows = made.Stack(),
            Layers = [.. Enumerable.Range(0, made._layers).Select(layer => new CopperLayer($"L{layer + 1}", (2 * layer) + 1))],
            Nets = [new Net("GND", [], false), new Net("VIN", [], false), new Net("SIG", [], false)],
            Copper = made.Copper(),
            Vias = made.Vias(parts),
            Parts = parts,
            Probes = [.. Enumerable.Range(0, 3).Select(k => new Probe($"TP{k + 1}", made._random.Next(made._layers), made.OnBoard(made.Place(0.5))))],
        };
        return (board, made.Conditions());
    }

    private double Between(double least, double most) => least + ((most - least) * _random.NextDouble());

    /// <summary>Evenly over the orders of magnitude.</summary>
    private double Spread(double least, double most) => least * Math.Pow(most / least, _random.NextDouble());

    private bool OneIn(int count) => _random.Next(count) == 0;

    /// <summary>A place at least so many mm inside the board's edge.</summary>
    private Point Place(double inside) => new(Between(inside, _width - inside) * Mm, Between(inside, _height - inside) * Mm);

    private static Region Box(double left, double lower, double width, double height) => new([Ring(left, lower, width, height)]);

    private static Polygon Ring(double left, double lower, double width, double height) =>
        new([new(left * Mm, lower * Mm), new((left + width) * Mm, lower * Mm), new((left + width) * Mm, (lower + height) * Mm), new(left * Mm, (lower + height) * Mm)]);

    private Region Outline()
    {
        if (!OneIn(3)) return Box(0, 0, _width, _height);
        _notch = Between(3, 8);
        return new([new Polygon([new(0, 0), new(_width * Mm, 0), new(_width * Mm, (_height - _notch) * Mm), new((_width - _notch) * Mm, (_height - _notch) * Mm), new((_width - _notch) * Mm, _height * Mm), new(0, _height * Mm)])]);
    }

    /// <summary>The same part, moved to the left as far as it would lie over the notch.</summary>
    private Part OnBoard(Part part)
    {
        Region[] regions = [.. part.Terminals.Select(terminal => terminal.Pad).Concat(part.Body is { } own ? [own] : [])];
        var box = regions.Aggregate(Boards.Box.Empty, (all, region) => all.Include(region.Bounds));
        double over = OverNotch(box.MaxX, box.MaxY);
        if (over == 0) return part;
        return part with { Body = part.Body is { } body ? Moved(body, over) : null, Terminals = [.. part.Terminals.Select(terminal => terminal with { Pad = Moved(terminal.Pad, over) })] };
    }

    private Region OnBoard(Region region) => Moved(region, OverNotch(region.Bounds.MaxX, region.Bounds.MaxY));

    private static Region Moved(Region region, double left) => new([.. region.Polygons.Select(polygon => new Polygon([.. polygon.Rings.Single().Select(point => point with { X = point.X - left })]))]);

    /// <summary>The same place, moved to the left where it lies in the notch.</summary>
    private Point OnBoard(Point place) => place with { X = place.X - OverNotch(place.X, place.Y) };

    /// <summary>How far to the left an upper right corner is to move, m.</summary>
    private double OverNotch(double x, double y) =>
        _notch > 0 && x > (_width - _notch) * Mm && y > (_height - _notch) * Mm ? x - ((_width - _notch - 0.5) * Mm) : 0;

    private StackRow[] Stack()
    {
        List<StackRow> rows = [];
        double outer = OneIn(2) ? 35 : 70, total = Between(0.8, 1.6) * 1000, prepreg = Between(100, 250);
        for (int layer = 0; layer < _layers; layer++)
        {
            rows.Add(layer == 0 ? Dielectric(20, 0.25, 0.25) : Dielectric(_layers < 4 ? total : layer == 2 ? total - (2 * prepreg) : prepreg, 0.8, 0.35));
            rows.Add(new() { Kind = StackRowKind.Copper, Name = $"L{layer + 1}", Thickness = (layer == 0 || layer == _layers - 1 ? outer : 35) * Um, Fill = new(0.8, 0.35), CopperConductivity = 390 });
        }
        rows.Add(_layers == 1 ? Dielectric(total, 0.8, 0.35) : Dielectric(20, 0.25, 0.25));
        return [.. rows];
    }

    private static StackRow Dielectric(double thickness, double inPlane, double through) => new() { Kind = StackRowKind.Dielectric, Thickness = thickness * Um, Fill = new(inPlane, through) };

    private CopperFeature[] Copper()
    {
        List<CopperFeature> copper = [];
        for (int layer = 0; layer < _layers; layer++)
        {
            bool inner = layer > 0 && layer < _layers - 1;
            if (inner ? !OneIn(4) : OneIn(2)) copper.Add(new() { Layer = layer, Net = 0, Area = Box(0.5, 0.5, _width - 1, _height - 1) });
            for (int k = _random.Next(inner ? 2 : 4); k > 0; k--)
            {
                var at = Place(Edge);
                copper.Add(new() { Layer = layer, Net = 1, Area = Blob(at, Between(3, 9)), Clearance = 0.2 * Mm });
            }
            for (int k = _random.Next(inner ? 4 : 16); k > 0; k--) copper.Add(Track(layer));
        }
        return [.. copper];
    }

    /// <summary>A polygon with five to eight corners about a place, mm across.</summary>
    private Region Blob(Point at, double size)
    {
        int corners = 5 + _random.Next(4);
        return new([new Polygon([.. Enumerable.Range(0, corners).Select(k => Around(at, size * Between(0.4, 0.6), 2 * Math.PI * k / corners))])]);
    }

    private Point Around(Point at, double distance, double angle) => new(
        Math.Clamp(at.X + (distance * Mm * Math.Cos(angle)), 0.5 * Mm, (_width - 0.5) * Mm), Math.Clamp(at.Y + (distance * Mm * Math.Sin(angle)), 0.5 * Mm, (_height - 0.5) * Mm));

    /// <summary>Upright, level or slanted at 45°, with a bend; it cuts the pours that it crosses.</summary>
    private CopperFeature Track(int layer)
    {
        var from = Place(Edge);
        double angle = _random.Next(8) * Math.PI / 4;
        var bend = Around(from, Spread(2, 20), angle);
        return new() { Layer = layer, Net = 2, Track = new([from, bend, Around(bend, Spread(1, 8), angle + Math.PI / 4)], Spread(0.12, 0.5) * Mm), Clearance = Between(0.1, 0.25) * Mm };
    }

    private Part[] Parts() => [.. Enumerable.Range(0, 3 + _random.Next(4)).Select(Part)];

    private Part Part(int index)
    {
        var at = Place(6);
        double x = at.X / Mm, y = at.Y / Mm;
        var side = _layers > 1 && OneIn(4) ? BoardSide.Bottom : BoardSide.Top;
        string id = $"P{index + 1}";
        switch (_random.Next(4))
        {
            case 0: // an exposed pad under a network of two nodes, and a pin
                double pad = Between(1.5, 5);
                return new()
                {
                    Id = id,
                    Kind = "ic",
                    Side = side,
                    Watts = Between(0.3, 1.5),
                    Body = Box(x - 0.5, y - 0.5, pad + 1, pad + 1),
                    Terminals = [new("GND", 0, Box(x, y, pad, pad)), new("OUT", 2, Box(x - 1, y, 0.6, 0.3))],
                    Network = new(
                        ["junction", "case"],
                        [new(0, PartLinkTarget.Terminal, 0, Between(1, 5)), new(0, PartLinkTarget.Terminal, 1, Between(20, 40)), new(0, PartLinkTarget.Node, 1, 20), new(1, PartLinkTarget.Ambient, -1, 500)],
                        [1, 0]),
                };
            case 1: // two pads, whatever lies under them
                double length = Between(0.5, 1.6), apart = Between(0.8, 3);
                return new() { Id = id, Kind = "resistor", Side = side, Watts = Spread(0.02, 0.5), Terminals = [new("1", 1, Box(x, y, length, length)), new("2", 0, Box(x + length + apart, y, length, length))] };
            case 2: // one bar
                return new() { Id = id, Kind = "power", Side = side, Watts = Between(0.2, 1), Terminals = [new("D", 1, Box(x, y, Between(2, 5), Between(0.6, 3)))] };
            default: // a body that heats what it stands on
                return new() { Id = id, Kind = "module", Side = side, Watts = Between(0.2, 1), Body = Box(x, y, Between(2, 5), Between(2, 5)), Terminals = [] };
        }
    }

    private ViaGroup[] Vias(Part[] parts)
    {
        if (_layers == 1) return [];
        List<Point> at = [.. Enumerable.Range(0, _random.Next(30)).Select(_ => OnBoard(Place(Edge)))];
        foreach (var part in parts.Where(part => part.Network != null && !OneIn(3)))
        {
            var box = part.Terminals[0].Pad.Bounds;
            for (double x = box.MinX + (0.4 * Mm); x < box.MaxX; x += 0.9 * Mm)
            {
                for (double y = box.MinY + (0.4 * Mm); y < box.MaxY; y += 0.9 * Mm) at.Add(new(x, y));
            }
        }
        return [new() { Net = 0, FromLayer = 0, ToLayer = _layers - 1, Drill = 0.3 * Mm, Plating = 25 * Um, PlatingConductivity = 390, FillConductivity = OneIn(2) ? 0 : 0.3, Pad = 0.6 * Mm, Clearance = 0.2 * Mm, At = at }];
    }

    private Conditions Conditions()
    {
        var place = Place(6);
        Contact[] contacts = OneIn(4) ? [new("boss", BoardSide.Bottom, OnBoard(Box(place.X / Mm, place.Y / Mm, Between(3, 6), Between(3, 6))), Spread(300, 5000), 25)] : [];
        return new()
        {
            AmbientCelsius = 25,
            Top = new FilmSurface(Spread(6, 40)),
            Bottom = new FilmSurface(Spread(6, 40)),
            EdgesFilm = OneIn(2) ? 10 : 0,
            Contacts = contacts,
            Watts = new Dictionary<int, double>(),
        };
    }
}
