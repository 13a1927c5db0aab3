using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Currents;

/// <summary>Which pads a net's copper joins, and how near it comes where it does not.</summary>
internal sealed class CopperPaths
{
    /// <summary>Cells at the rim of a piece beyond which only every so many are compared: the gap is told in a sentence, not computed with.</summary>
    private const int MostCompared = 2000;

    private readonly NetCopper _copper;
    private readonly int[] _parent;

    /// <param name="copper">Of the net.</param>
    /// <param name="electrodes">Of its currents: a pad is one conductor.</param>
    public CopperPaths(NetCopper copper, IReadOnlyList<Electrodes> electrodes)
    {
        _copper = copper;
        _parent = [.. Enumerable.Range(0, copper.CellCount)];
        for (int cell = 0; cell < _parent.Length; cell++)
        {
            if (copper.East[cell] > 0) Join(cell, cell + 1);
            if (copper.North[cell] > 0) Join(cell, cell + copper.Grid.Columns);
            if (copper.Below[cell] > 0) Join(cell, cell + copper.PlaneCount);
        }
        foreach (int[] pad in electrodes.SelectMany(e => e.From.Concat(e.To)))
        {
            foreach (int cell in pad) Join(pad[0], cell);
        }
    }

    /// <summary>Whether some pad of a current has no way to its other end.</summary>
    public bool HasGaps(Electrodes electrodes)
    {
        HashSet<int> Roots(IReadOnlyList<int[]> pads) => [.. pads.Select(pad => pad.Length > 0 ? Root(pad[0]) : -1)];
        var from = Roots(electrodes.From);
        return from.Contains(-1) || !from.SetEquals(Roots(electrodes.To));
    }

    /// <summary>The pads of a current whose copper does not come to any pad at its other end; empty where every pad has a way.</summary>
    public IEnumerable<Gap> GapsOf(Electrodes electrodes)
    {
        var ends = new[] { ("from", electrodes.From, electrodes.To), ("to", electrodes.To, electrodes.From) };
        foreach (var (end, pads, others) in ends)
        {
            var reached = others.Where(pad => pad.Length > 0).Select(pad => Root(pad[0])).ToHashSet();
            for (int i = 0; i < pads.Count; i++)
            {
                if (pads[i].Length == 0) yield return new Gap(end, i, null);
                else if (!reached.Contains(Root(pads[i][0]))) yield return new Gap(end, i, Nearest(Root(pads[i][0]), reached));
            }
        }
    }

    /// <summary>Where the copper of one piece and that of others come nearest to each other.</summary>
    private Approach? Nearest(int piece, HashSet<int> others)
    {
        (int Cell, Point Middle)[] near = [.. Rim(root => root == piece).Select(cell => (cell, _copper.Middle(cell)))], far = [.. Rim(others.Contains).Select(cell => (cell, _copper.Middle(cell)))];
        Approach? nearest = null;
        double least = double.PositiveInfinity;
        foreach (var (a, from) in near)
        {
            foreach (var (b, to) in far)
            {
                double square = (from.X - to.X) * (from.X - to.X) + (from.Y - to.Y) * (from.Y - to.Y);
                if (square >= least) continue;
                (least, nearest) = (square, new(a, b, 0));
            }
        }
        return nearest is null ? null : nearest with { Distance = BetweenPoints(nearest.From, nearest.To) };
    }

    /// <summary>Cells of pieces that have a neighbour in the plan that is of another one, thinned out where they are many.</summary>
    private List<int> Rim(Func<int, bool> isOfPiece)
    {
        var cells = new List<int>();
        int columns = _copper.Grid.Columns, rows = _copper.Grid.Rows;
        for (int cell = 0; cell < _parent.Length; cell++)
        {
            int inPlane = cell % _copper.PlaneCount, column = inPlane % columns, row = inPlane / columns;
            if (_copper.Layers[cell / _copper.PlaneCount].MainPiece[inPlane] == 0 || !isOfPiece(Root(cell))) continue;
            bool isInner = column > 0 && column < columns - 1 && row > 0 && row < rows - 1
                && isOfPiece(Root(cell - 1)) && isOfPiece(Root(cell + 1)) && isOfPiece(Root(cell - columns)) && isOfPiece(Root(cell + columns));
            if (!isInner) cells.Add(cell);
        }
        int step = 1 + cells.Count / MostCompared;
        return step == 1 ? cells : [.. cells.Where((_, i) => i % step == 0)];
    }

    /// <summary>m between the copper of two cells, from its fine points.</summary>
    private double BetweenPoints(int first, int second)
    {
        double fineX = _copper.Grid.PitchX / RowScanner.Fine, fineY = _copper.Grid.PitchY / RowScanner.Fine, least = double.PositiveInfinity;
        foreach (var a in Points(first))
        {
            foreach (var b in Points(second)) least = Math.Min(least, double.Hypot(Math.Max(0, Math.Abs(a.X - b.X) - fineX), Math.Max(0, Math.Abs(a.Y - b.Y) - fineY)));
        }
        return least;
    }

    private IEnumerable<Point> Points(int cell)
    {
        int inPlane = cell % _copper.PlaneCount;
        ulong piece = _copper.Layers[cell / _copper.PlaneCount].MainPiece[inPlane];
        for (int bit = 0; bit < RowScanner.Fine * RowScanner.Fine; bit++)
        {
            if ((piece >> bit & 1) == 0) continue;
            yield return new Point(
                _copper.Grid.Origin.X + (inPlane % _copper.Grid.Columns + (bit % RowScanner.Fine + 0.5) / RowScanner.Fine) * _copper.Grid.PitchX,
                _copper.Grid.Origin.Y + (inPlane / _copper.Grid.Columns + (bit / RowScanner.Fine + 0.5) / RowScanner.Fine) * _copper.Grid.PitchY);
        }
    }

    private void Join(int a, int b)
    {
        int ra = Root(a), rb = Root(b);
        if (ra != rb) _parent[Math.Max(ra, rb)] = Math.Min(ra, rb);
    }

    private int Root(int i)
    {
        while (_parent[i] != i) i = _parent[i] = _parent[_parent[i]];
        return i;
    }

    /// <param name="End"><c>from</c> or <c>to</c>.</param>
    /// <param name="Pad">Place in that list.</param>
    /// <param name="Approach">Null where a pad has no copper of its net on the board.</param>
    public sealed record Gap(string End, int Pad, Approach? Approach)
    {
        /// <summary>A fault of the conditions.</summary>
        public Fault ToFault(Board board, NetCopper copper, int index, DirectCurrent current)
        {
            var (own, others) = End == "from" ? (current.From, current.To) : (current.To, current.From);
            string Name(PartTerminal t) => $"{board.Parts[t.Part].Id}:{board.Parts[t.Part].Terminals[t.Terminal].Name}";
            string other = string.Join(", ", others.Take(3).Select(Name)) + (others.Count > 3 ? ", …" : "");
            string detail = $"{Name(own[Pad])} is not joined to {other}: {Where(board, copper)}";
            return new Fault($"/currents/{index}/{End}/{Pad}", detail);
        }

        private string Where(Board board, NetCopper copper)
        {
            if (Approach is null) return "no copper of the net was found under the pad.";
            string Place(int cell)
            {
                var at = copper.Middle(cell);
                return string.Create(CultureInfo.InvariantCulture, $"{board.Layers[copper.LayerOf(cell)].Name} at x = {at.X * 1e3:0.##} mm, y = {at.Y * 1e3:0.##} mm");
            }

            bool overlap = copper.LayerOf(Approach.From) != copper.LayerOf(Approach.To) && Approach.Distance == 0;
            return overlap
                ? $"their copper lies one over the other, on {Place(Approach.From)} and on {Place(Approach.To)}, and no plated hole of the net joins the two."
                : string.Create(CultureInfo.InvariantCulture, $"its copper ends on {Place(Approach.From)}, {Approach.Distance * 1e3:0.###} mm from the other's on {Place(Approach.To)}.");
        }
    }

    /// <summary>Two cells of copper that come nearest, and the m between their copper in the plan.</summary>
    public sealed record Approach(int From, int To, double Distance);
}
