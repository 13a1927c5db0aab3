using System.Numerics;
using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Currents;

/// <summary>Direction of a link from a cell of <see cref="NetCopper"/>.</summary>
internal enum LinkDirection
{
    East,
    North,
    Below,
}

/// <summary>
/// The terminals at which the currents of one net enter and leave its copper, as conductors of one potential each. Terminals that one current names at one of its ends are joined (by the part, plug or wire
/// behind them), and so for all currents of the net: a pad is metal whichever current flows, and one field is the answer to all of them.
/// </summary>
internal sealed class Conductors
{
    /// <summary>A pad that ends this close to the middle of the next cell, in lengths of a link, is taken to end there: shorter links would drown the others.</summary>
    private const double MostInside = 0.95;

    private readonly NetCopper _copper;
    private readonly Dictionary<(LinkDirection, int), (double First, double Second)> _inside = [];
    private readonly Dictionary<PartTerminal, int[]> _pads = [];
    private readonly Dictionary<PartTerminal, int> _conductorOf;

    public Conductors(NetCopper copper, Board board, IReadOnlyList<DirectCurrent> currents)
    {
        _copper = copper;
        _conductorOf = Join(currents);
        Count = _conductorOf.Values.DefaultIfEmpty(-1).Max() + 1;
        Of = new int[copper.CellCount];
        Array.Fill(Of, None);
        foreach (var (terminal, conductor) in _conductorOf) _pads[terminal] = Occupy(board, terminal, conductor);
    }

    /// <summary>In <see cref="Of"/>: copper that is part of no conductor.</summary>
    public const int None = -1;

    public int Count { get; }

    /// <summary>The conductor that each cell is part of.</summary>
    public int[] Of { get; }

    /// <summary>The cells of each terminal's pad; none where no copper of the net lies under it.</summary>
    public IReadOnlyDictionary<PartTerminal, int[]> Pads => _pads;

    /// <summary>The conductor that a terminal belongs to.</summary>
    public int At(PartTerminal terminal) => _conductorOf[terminal];

    /// <summary>Numbers the sets of terminals that currents join.</summary>
    private static Dictionary<PartTerminal, int> Join(IReadOnlyList<DirectCurrent> currents)
    {
        var numbers = new Dictionary<PartTerminal, int>();
        foreach (var end in currents.SelectMany(current => new[] { current.From, current.To }))
        {
            int[] met = [.. end.Where(numbers.ContainsKey).Select(terminal => numbers[terminal]).Distinct()];
            int number = met.Length > 0 ? met[0] : numbers.Count;
            foreach (var terminal in end) numbers[terminal] = number;
            foreach (var terminal in numbers.Keys.Where(key => met.Contains(numbers[key])).ToList()) numbers[terminal] = number;
        }
        int[] used = [.. numbers.Values.Distinct().Order()];
        return numbers.ToDictionary(pair => pair.Key, pair => Array.IndexOf(used, pair.Value));
    }

    /// <summary>
    /// How much of a link from a cell on a pad lies on the pad, as shares of its length at its first and its second end. The rest alone resists, so that a pad is as large as it is drawn
    /// and not as its cells are (Shortley and Weller, J. Appl. Phys. 9, 1938, 334, in the symmetric form of Gibou et al., J. Comput. Phys. 176, 2002, 205).
    /// </summary>
    public (double First, double Second) Inside(LinkDirection direction, int cell) => _inside.GetValueOrDefault((direction, cell));

    private int[] Occupy(Board board, PartTerminal terminal, int conductor)
    {
        var part = board.Parts[terminal.Part];
        var given = part.Terminals[terminal.Terminal];
        return [.. part.SidesOf(given).Select(board.OuterLayer).Distinct().SelectMany(layer => Occupy(given.Pad, layer, conductor))];
    }

    private int[] Occupy(Region pad, int layer, int conductor)
    {
        int start = (layer - _copper.FirstLayer) * _copper.PlaneCount;
        var pieces = _copper.Layers[layer - _copper.FirstLayer].MainPiece;
        var covered = RegionCover.CellsOf(pad, _copper.Grid).Where(c => (c.Fine & pieces[c.Cell]) != 0).ToList();
        int[] cells = [.. covered.Select(c => start + c.Cell).Where(cell => Holds(pad, _copper.Middle(cell)))];
        bool isDrawn = cells.Length > 0;
        if (!isDrawn) cells = MostCovered(covered, start);
        foreach (int cell in cells) Of[cell] = conductor;
        if (isDrawn) MeasureLinks(cells, pad);
        return cells;
    }

    /// <summary>Of a pad so small that it holds the middle of no cell: the cells that it covers most.</summary>
    private static int[] MostCovered(List<CoveredCell> covered, int start)
    {
        int most = covered.Select(c => BitOperations.PopCount(c.Fine)).DefaultIfEmpty(0).Max();
        return [.. covered.Where(c => BitOperations.PopCount(c.Fine) * 2 >= most).Select(c => start + c.Cell)];
    }

    private void MeasureLinks(int[] cells, Region pad)
    {
        foreach (int cell in cells)
        {
            int inPlane = cell % _copper.PlaneCount, columns = _copper.Grid.Columns;
            if (_copper.East[cell] > 0) Measure(LinkDirection.East, cell, cell, cell + 1, pad);
            if (inPlane % columns > 0 && _copper.East[cell - 1] > 0) Measure(LinkDirection.East, cell - 1, cell, cell - 1, pad);
            if (_copper.North[cell] > 0) Measure(LinkDirection.North, cell, cell, cell + columns, pad);
            if (inPlane >= columns && _copper.North[cell - columns] > 0) Measure(LinkDirection.North, cell - columns, cell, cell - columns, pad);
        }
    }

    private void Measure(LinkDirection direction, int link, int inner, int outer, Region pad)
    {
        Point from = _copper.Middle(inner), to = _copper.Middle(outer);
        if (Holds(pad, to)) return;
        double share = Math.Min(LastCrossing(pad, from, to), MostInside);
        var (first, second) = _inside.GetValueOrDefault((direction, link));
        if (link == inner) first = Math.Min(share, MostInside - second);
        else second = Math.Min(share, MostInside - first);
        _inside[(direction, link)] = (first, second);
    }

    private static bool Holds(Region region, Point p) => region.Polygons.Any(polygon =>
    {
        bool inside = false;
        foreach (var ring in polygon.Rings)
        {
            for (int i = 0; i < ring.Count; i++)
            {
                var (a, b) = (ring[i], ring[(i + 1) % ring.Count]);
                inside ^= a.Y > p.Y != b.Y > p.Y && p.X < a.X + (p.Y - a.Y) / (b.Y - a.Y) * (b.X - a.X);
            }
        }
        return inside;
    });

    /// <summary>Where a way out of a region crosses its rim for the last time, as a share of the way.</summary>
    private static double LastCrossing(Region region, Point from, Point to)
    {
        double last = 0, dx = to.X - from.X, dy = to.Y - from.Y;
        foreach (var ring in region.Polygons.SelectMany(polygon => polygon.Rings))
        {
            for (int i = 0; i < ring.Count; i++)
            {
                var (a, b) = (ring[i], ring[(i + 1) % ring.Count]);
                double ex = b.X - a.X, ey = b.Y - a.Y, cross = dx * ey - dy * ex;
                if (cross == 0) continue;
                double along = ((a.X - from.X) * ey - (a.Y - from.Y) * ex) / cross, onEdge = ((a.X - from.X) * dy - (a.Y - from.Y) * dx) / cross;
                if (along is >= 0 and <= 1 && onEdge is >= 0 and <= 1) last = Math.Max(last, along);
            }
        }
        return last;
    }
}
