using HeatSpread.Boards;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Verification.Support;

/// <summary>Boards drawn in code, in metres, and the whole public path from a board to its field.</summary>
internal static class Sketch
{
    public const double Millimetre = 1e-3, Micrometre = 1e-6;

    public static Region Rectangle(double left, double lower, double right, double upper) =>
        new([new Polygon([new(left, lower), new(right, lower), new(right, upper), new(left, upper)])]);

    /// <summary>A rectangle with one rectangular hole.</summary>
    public static Region Frame(Box outer, Box inner)
    {
        static Point[] Ring(Box box) => [new(box.MinX, box.MinY), new(box.MaxX, box.MinY), new(box.MaxX, box.MaxY), new(box.MinX, box.MaxY)];
        return new([new Polygon(Ring(outer), [Ring(inner)])]);
    }

    /// <summary>A regular polygon whose area is that of the circle.</summary>
    public static Point[] Circle(Point centre, double radius, int corners = 360)
    {
        double turn = 2 * Math.PI / corners, outer = radius * Math.Sqrt(turn / Math.Sin(turn));
        return [.. Enumerable.Range(0, corners).Select(i => new Point(centre.X + outer * Math.Cos(i * turn), centre.Y + outer * Math.Sin(i * turn)))];
    }

    public static StackRow Laminate(double thickness, double conductivity) => Laminate(thickness, new Conductivity(conductivity, conductivity));

    public static StackRow Laminate(double thickness, Conductivity conductivity) =>
        new() { Kind = StackRowKind.Dielectric, Thickness = thickness, Fill = conductivity };

    /// <summary>A slab cut into rows of equal thickness.</summary>
    public static IEnumerable<StackRow> Slab(double thickness, Conductivity conductivity, int rows) =>
        Enumerable.Repeat(Laminate(thickness / rows, conductivity), rows);

    public static StackRow Copper(string name, double thickness, double conductivity = 390, double between = 0.3) =>
        new() { Kind = StackRowKind.Copper, Name = name, Thickness = thickness, Fill = new(between, between), CopperConductivity = conductivity };

    public static CopperFeature Pour(Region area, int layer = 0, int net = 0) => new() { Layer = layer, Net = net, Area = area };

    public static CopperFeature Cut(Point from, Point to, double width, int layer = 0) =>
        new() { Layer = layer, Net = -1, IsClear = true, Track = new([from, to], width) };

    public static CopperFeature Track(Point from, Point to, double width, int layer = 0, int net = 0) =>
        new() { Layer = layer, Net = net, Track = new([from, to], width) };

    /// <summary>A part whose watts go evenly over one pad.</summary>
    public static Part OnPad(string id, Region pad, double watts, BoardSide side = BoardSide.Top, PartNetwork? network = null) =>
        new() { Id = id, Kind = "source", Side = side, Terminals = [new("1", 0, pad)], Watts = watts, Network = network };

    /// <summary>A part whose watts go evenly over its body; it brings no copper.</summary>
    public static Part OnBody(string id, Region body, double watts) =>
        new() { Id = id, Kind = "source", Side = BoardSide.Top, Body = body, Terminals = [], Watts = watts };

    public static Board Board(Region outline, IEnumerable<StackRow> rows, IEnumerable<CopperFeature>? copper = null, IEnumerable<Part>? parts = null, IEnumerable<ViaGroup>? vias = null, IEnumerable<Probe>? probes = null)
    {
        StackRow[] stack = [.. rows];
        return new()
        {
            Name = "sketch",
            Revision = "A",
            Outline = outline,
            Rows = stack,
            Layers = [.. stack.Index().Where(row => row.Item.Kind == StackRowKind.Copper).Select(row => new CopperLayer(row.Item.Name!, row.Index))],
            Nets = [new("NET", [], false)],
            Copper = [.. copper ?? []],
            Vias = [.. vias ?? []],
            Parts = [.. parts ?? []],
            Probes = [.. probes ?? []],
        };
    }

    /// <summary>Films in W/(m²·K); the ambient is 0 °C unless said, so that rises keep all digits of the single precision field.</summary>
    public static Conditions Surroundings(double top, double bottom, double edges = 0, double ambient = 0, params Contact[] contacts) => new()
    {
        AmbientCelsius = ambient,
        Top = new FilmSurface(top),
        Bottom = new FilmSurface(bottom),
        EdgesFilm = edges,
        Contacts = contacts,
        Watts = new Dictionary<int, double>(),
    };

    public static Contact Sink(Region area, double wattsPerSquareMeterKelvin, double celsius = 0, BoardSide side = BoardSide.Bottom, string name = "sink") =>
        new(name, side, area, wattsPerSquareMeterKelvin, celsius);

    public static TemperatureField Solve(Board board, Conditions conditions, double pitch)
    {
        var token = TestContext.Current.CancellationToken;
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), token);
        var field = ThermalSolve.Run(board, conditions, raster, threads: 2, progress: null, token).Read();
        EnergyBalances.Check(field);
        return field;
    }

    /// <summary>A row's temperature in the cell that holds a point.</summary>
    public static double At(this TemperatureField field, int row, double x, double y)
    {
        var (column, line) = field.Grid.CellAt(new(x, y));
        return field.RowCelsius[row][line * field.Grid.Columns + column];
    }
}
