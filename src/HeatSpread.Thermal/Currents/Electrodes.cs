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

/// <summary>Where a current enters and leaves a net's copper: cells that are at one potential.</summary>
internal sealed class Electrodes
{
    /// <summary>A pad that ends this close to the middle of the next cell, in lengths of a link, is taken to end there: shorter links would drown the others.</summary>
    private const double MostInside = 0.95;

    private readonly NetCopper _copper;
    private readonly Dictionary<(LinkDirection, int), (double First, double Second)> _inside = [];

    public Electrodes(NetCopper copper, Board board, DirectCurrent current)
    {
        _copper = copper;
        Side = new sbyte[copper.CellCount];
        From = [.. current.From.Select(terminal => Occupy(board, terminal, 1))];
        To = [.. current.To.Select(terminal => Occupy(board, terminal, -1))];
    }

    /// <summary>1 for cells of the electrode at which the current enters, -1 for those at which it leaves, else 0.</summary>
    public sbyte[] Side { get; }

    /// <summary>Cells of each pad of <see cref="DirectCurrent.From"/>.</summary>
    public IReadOnlyList<int[]> From { get; }

    /// <summary>Cells of each pad of <see cref="DirectCurrent.To"/>.</summary>
    public IReadOnlyList<int[]> To { get; }

    /// <summary>
    /// How much of a link from a cell on a pad lies on the pad, as shares of its length at its first and its second end. The rest alone resists, so that a pad is as large as it is drawn
    /// and not as its cells are (Shortley and Weller, J. Appl. Phys. 9, 1938, 334, in the symmetric form of Gibou et al., J. Comput. Phys. 176, 2002, 205).
    /// </summary>
    public (double First, double Second) Inside(LinkDirection direction, int cell) => _inside.GetValueOrDefault((direction, cell));

    private int[] Occupy(Board board, PartTerminal terminal, sbyte side)
    {
        var part = board.Parts[terminal.Part];
        var given = part.Terminals[terminal.Terminal];
        return [.. part.SidesOf(given).Select(board.OuterLayer).Distinct().SelectMany(layer => Occupy(given.Pad, layer, side))];
    }

    private int[] Occupy(Region pad, int layer, sbyte side)
    {
        int start = (layer - _copper.FirstLayer) * _copper.PlaneCount;
        var pieces = _copper.Layers[layer - _copper.FirstLayer].MainPiece;
        var covered = RegionCover.CellsOf(pad, _copper.Grid).Where(c => (c.Fine & pieces[c.Cell]) != 0).ToList();
        int[] cells = [.. covered.Select(c => start + c.Cell).Where(cell => Holds(pad, _copper.Middle(cell)))];
        bool isDrawn = cells.Length > 0;
        if (!isDrawn) cells = MostCovered(covered, start);
        foreach (int cell in cells) Side[cell] = side;
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
