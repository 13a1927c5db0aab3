namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Coarsening near nodes. A column tied to nodes that is not on the coarse grid takes from each node its share and only the rest from the coarse columns
/// around. So the part of its conductances that belongs to a node becomes conductance of that node (star-mesh elimination, exact for one column):
/// without this, a pad would grow by one coarse cell on every level and tie the whole board together.
/// </summary>
internal sealed unsafe class NodeCondensation
{
    private static readonly (int X, int Y)[] Directions = [(1, 0), (-1, 0), (0, 1), (0, -1)];
    private readonly Level _level;
    private readonly AlignedFloats[] _sink;
    private readonly Dictionary<(int, int), (LinkedColumn Column, double[] Remainder)> _eliminated = [];
    private readonly List<(nint Place, float Value)> _changed = [];
    private readonly List<NodeLink> _links = [];
    private readonly NodeMatrix _nodes;

    /// <summary>Changes the level's conductances to what the coarse columns are to be made of, until <see cref="Restore"/>.</summary>
    public NodeCondensation(Level level, AlignedFloats[] sink, NodeMatrix nodes, IEnumerable<LinkedColumn> linked)
    {
        (_level, _sink, _nodes) = (level, sink, nodes.WithoutCellLinks());
        foreach (var column in linked)
        {
            if (column.IsCoarse) KeepLinks(column);
            else _eliminated[(column.Column, column.Row)] = (column, column.Rest());
        }

        foreach (var (column, rest) in _eliminated.Values)
        {
            foreach (var d in Directions) SplitLateral(column, rest, d);
            SplitVertical(column, rest);
            SplitSink(column, rest);
            JoinNodes(column);
        }

        Links = CoarseLinks.Of(level, NodeLink.Merge(_links));
        CoarseNodes = _nodes.WithCellLinks(Links);
    }

    /// <summary>Links of the coarse network.</summary>
    public NodeLink[] Links { get; }

    public NodeMatrix CoarseNodes { get; }

    public void Restore()
    {
        for (var k = _changed.Count - 1; k >= 0; k--) *(float*)_changed[k].Place = _changed[k].Value;
    }

    private void Set(float* place, double value)
    {
        _changed.Add(((nint)place, *place));
        *place = (float)value;
    }

    private void Link(int node, int column, int row, int sheet, double conductance)
    {
        if (conductance > 0) _links.Add(new(node, column, row, sheet, conductance));
    }

    private void KeepLinks(LinkedColumn c)
    {
        for (var n = 0; n < c.Nodes.Length; n++)
        {
            for (var s = 0; s < c.Conductance[n].Length; s++) Link(c.Nodes[n], c.Column, c.Row, s, c.Conductance[n][s]);
        }
    }

    private void SplitLateral(LinkedColumn c, double[] rest, (int X, int Y) direction)
    {
        int x = c.Column + direction.X, y = c.Row + direction.Y;
        if (x < 0 || y < 0 || x >= _level.Shape.Columns || y >= _level.Shape.Rows) return;
        var both = _eliminated.TryGetValue((x, y), out var other);
        if (both && (direction.X < 0 || direction.Y < 0)) return;
        for (var s = 0; s < rest.Length; s++)
        {
            var place = _level.LateralPlace(c.Column, c.Row, direction.X, direction.Y, s);
            double g = *place, otherRest = both ? other.Remainder[s] : 1;
            for (var n = 0; n < c.Nodes.Length; n++)
            {
                Link(c.Nodes[n], x, y, s, g * c.Shape[n][s] * otherRest);
                for (var m = 0; both && m < other.Column.Nodes.Length; m++) _nodes.Join(c.Nodes[n], other.Column.Nodes[m], g * c.Shape[n][s] * other.Column.Shape[m][s]);
            }

            for (var m = 0; both && m < other.Column.Nodes.Length; m++) Link(other.Column.Nodes[m], c.Column, c.Row, s, g * other.Column.Shape[m][s] * rest[s]);
            Set(place, g * rest[s] * otherRest);
        }
    }

    private void SplitVertical(LinkedColumn c, double[] rest)
    {
        var vertical = _level.Multiplier[c.Color].Pointer + _level.Shape.ColumnStart(c.Column, c.Row);
        for (var s = 0; s + 1 < rest.Length; s++)
        {
            double v = vertical[s * _level.Shape.Half];
            for (var n = 0; n < c.Nodes.Length; n++)
            {
                Link(c.Nodes[n], c.Column, c.Row, s + 1, v * c.Shape[n][s] * rest[s + 1]);
                Link(c.Nodes[n], c.Column, c.Row, s, v * c.Shape[n][s + 1] * rest[s]);
                for (var m = 0; m < c.Nodes.Length; m++) _nodes.Join(c.Nodes[n], c.Nodes[m], v * c.Shape[n][s] * c.Shape[m][s + 1]);
            }

            Set(vertical + (s * _level.Shape.Half), v * rest[s] * rest[s + 1]);
        }
    }

    private void SplitSink(LinkedColumn c, double[] rest)
    {
        var sink = _sink[c.Color].Pointer + _level.Shape.ColumnStart(c.Column, c.Row);
        for (var s = 0; s < rest.Length; s++)
        {
            double g = sink[s * _level.Shape.Half];
            for (var n = 0; n < c.Nodes.Length; n++) _nodes.ToSink(c.Nodes[n], g * c.Shape[n][s]);
            Set(sink + (s * _level.Shape.Half), g * rest[s]);
        }
    }

    private void JoinNodes(LinkedColumn c)
    {
        for (var n = 0; n < c.Nodes.Length; n++)
        {
            for (var m = n + 1; m < c.Nodes.Length; m++)
            {
                var g = 0.0;
                for (var s = 0; s < c.Shape[n].Length; s++) g += c.Shape[n][s] * c.Conductance[m][s];
                _nodes.Join(c.Nodes[n], c.Nodes[m], g);
            }
        }
    }
}
