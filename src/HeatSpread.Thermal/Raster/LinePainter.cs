namespace HeatSpread.Thermal.Raster;

/// <summary>Another drawing of the same layer, and what of the first is to be looked at.</summary>
/// <param name="Other">Its shapes; owners are numbered as in the first.</param>
/// <param name="Shared">True: the copper that both have of the same owner. False: what the other has not, or of another owner.</param>
internal sealed record PaintSelection(RowIndex Other, bool Shared);

/// <summary>Paints the shapes of a row onto the middle line of a band, in their order, and so decides what is copper and whose. One object serves one thread.</summary>
/// <param name="only">Keeps the copper of this owner alone; null: of all.</param>
internal sealed class LinePainter(int? only)
{
    private readonly OwnedRuns _painted = new();
    private readonly OwnedRuns _other = new();
    private readonly OwnedRuns _selected = new();
    private readonly OwnedRuns _mask = new();
    private readonly OwnedRuns _clipped = new();
    private readonly List<(double X, Crossing Crossing)> _crossings = [];

    /// <summary>Runs of copper in a band, from its middle line; valid until the next call.</summary>
    /// <param name="paint">What is painted.</param>
    /// <param name="mask">Only within this; null: everywhere.</param>
    /// <param name="row">The row of cells.</param>
    /// <param name="low">Lower end of the band, m.</param>
    /// <param name="high">Upper end of the band, m.</param>
    /// <param name="selection">Null: all that is painted.</param>
    public OwnedRuns RunsIn(RowIndex paint, RowIndex? mask, int row, double low, double high, PaintSelection? selection = null)
    {
        PaintLine(paint, row, low, high, _painted);
        if (only is { } owner) _painted.Keep(owner);
        var runs = selection is null ? _painted : Select(selection, row, low, high);
        if (mask is null) return runs;
        PaintLine(mask, row, low, high, _mask);
        runs.ClipTo(_mask, _clipped);
        return _clipped;
    }

    private OwnedRuns Select(PaintSelection selection, int row, double low, double high)
    {
        PaintLine(selection.Other, row, low, high, _other);
        if (selection.Shared) _painted.ClipTo(_other, _selected, sameOwner: true);
        else _painted.MissingIn(_other, _selected);
        return _selected;
    }

    private void PaintLine(RowIndex index, int row, double low, double high, OwnedRuns runs)
    {
        runs.Reset();
        double middle = (low + high) / 2;
        var shapes = index.Program.Shapes;
        foreach (ref readonly var entry in index.Row(row))
        {
            if (entry.MaxY <= middle || entry.MinY >= middle) continue;
            ref readonly var shape = ref shapes[entry.Shape];
            if (shape.IsCapsule)
            {
                var (left, right) = CapsuleCrossing.At(shape, low, middle, high);
                runs.Apply(shape.Action, shape.Owner, left, right);
                continue;
            }
            CrossEdges(index.EdgesOf(entry), low, middle, high);
            for (int i = 0; i + 1 < _crossings.Count; i += 2) runs.Apply(shape.Action, shape.Owner, _crossings[i].Crossing, _crossings[i + 1].Crossing);
        }
    }

    private void CrossEdges(ReadOnlySpan<Edge> edges, double low, double middle, double high)
    {
        _crossings.Clear();
        foreach (ref readonly var edge in edges)
        {
            if (edge.A.Y <= middle == edge.B.Y <= middle) continue;
            double slope = (edge.B.X - edge.A.X) / (edge.B.Y - edge.A.Y), x = edge.A.X + slope * (middle - edge.A.Y);
            double least = Math.Min(edge.A.X, edge.B.X), most = Math.Max(edge.A.X, edge.B.X);
            var crossing = new Crossing(x, Math.Clamp(x + slope * (low - middle), least, most), Math.Clamp(x + slope * (high - middle), least, most));
            int at = _crossings.Count;
            _crossings.Add((x, crossing));
            for (; at > 0 && _crossings[at - 1].X > x; at--) _crossings[at] = _crossings[at - 1];
            _crossings[at] = (x, crossing);
        }
    }
}
