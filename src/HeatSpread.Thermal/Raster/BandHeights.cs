namespace HeatSpread.Thermal.Raster;

/// <summary>
/// Where one row of cells is cut into bands: at every eighth of its height, at level edges, and at the heights of vertices as far as they are few.
/// One object serves one thread.
/// </summary>
internal sealed class BandHeights(BoardGrid grid)
{
    /// <summary>Beyond this many level edges in one row of cells, which only a cell of several millimetres holds, areas are no longer exact.</summary>
    private const int MostLevel = 2048;

    private const int MostOther = 12;

    /// <summary>Where there are more vertices than <see cref="MostOther"/> no choice of a few makes every edge straight within its band; a third as many serve as well and cost less.</summary>
    private const int ChosenOfMore = 4;

    /// <summary>Of more heights than this every second, third… is sorted: some are chosen, evenly by rank.</summary>
    private const int MostSorted = 512;

    private readonly List<double> _level = [];
    private readonly List<double> _other = [];
    private readonly List<double> _bounds = [];

    /// <summary>The heights, m, ascending, the row's bottom and top included; valid until the next call.</summary>
    public IReadOnlyList<double> Of(RowIndex paint, RowIndex? mask, int row, RowIndex? other = null)
    {
        double bottom = grid.Origin.Y + row * grid.PitchY, top = bottom + grid.PitchY, least = grid.PitchY * 1e-5;
        _level.Clear();
        _other.Clear();
        CollectHeights(paint, row, bottom, top);
        if (mask is not null) CollectHeights(mask, row, bottom, top);
        if (other is not null) CollectHeights(other, row, bottom, top);
        _bounds.Clear();
        for (int k = 0; k <= RowScanner.Fine; k++) _bounds.Add(bottom + k * grid.PitchY / RowScanner.Fine);
        // Level edges first: a band that straddles one is wrong over the edge's whole length, one that straddles a vertex only near it.
        AddDistinct(_level, MostLevel, MostLevel, least);
        Thin(_other);
        AddDistinct(_other, MostOther, ChosenOfMore, least);
        _bounds.Sort();
        int kept = 1;
        for (int i = 1; i < _bounds.Count; i++)
        {
            if (_bounds[i] - _bounds[kept - 1] > least) _bounds[kept++] = _bounds[i];
        }
        _bounds.RemoveRange(kept, _bounds.Count - kept);
        _bounds[^1] = top;
        return _bounds;
    }

    private static void Thin(List<double> heights)
    {
        int step = (heights.Count + MostSorted - 1) / MostSorted;
        if (step < 2) return;
        int kept = 0;
        for (int i = 0; i < heights.Count; i += step) heights[kept++] = heights[i];
        heights.RemoveRange(kept, heights.Count - kept);
    }

    private void AddDistinct(List<double> heights, int most, int ofMore, double least)
    {
        heights.Sort();
        int distinct = 0;
        double last = double.NegativeInfinity;
        for (int i = 0; i < heights.Count; i++)
        {
            if (heights[i] - last <= least) continue;
            last = heights[i];
            heights[distinct++] = last;
        }
        if (distinct <= most)
        {
            for (int i = 0; i < distinct; i++) _bounds.Add(heights[i]);
        }
        else
        {
            for (int i = 0; i < ofMore; i++) _bounds.Add(heights[(int)((long)i * distinct / ofMore)]);
        }
    }

    private void CollectHeights(RowIndex index, int row, double bottom, double top)
    {
        void Add(List<double> to, double y)
        {
            if (y > bottom && y < top) to.Add(y);
        }

        var shapes = index.Program.Shapes;
        foreach (ref readonly var entry in index.Row(row))
        {
            ref readonly var shape = ref shapes[entry.Shape];
            if (shape.IsCapsule)
            {
                var to = shape.A.Y == shape.B.Y && shape.A.X != shape.B.X ? _level : _other;
                Add(to, shape.MinY);
                Add(to, shape.MaxY);
                continue;
            }
            foreach (ref readonly var edge in index.EdgesOf(entry)) Add(edge.A.Y == edge.B.Y ? _level : _other, edge.A.Y);
        }
    }
}
