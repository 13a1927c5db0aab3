namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Coarsening near nodes. A column tied to nodes that is not on the coarse grid takes from each node its share and only the rest from the coarse columns
/// around. So the part of its conductances that belongs to a node becomes conductance of that node (star-mesh elimination, exact for one column):
/// without this, a pad would grow by one coarse cell on every level and tie the whole board together.
/// </summary>
internal sealed unsafe class NodeCondensation
{
    /// <summary>Share of a node's own conductance to a column below which what the column passes on is left out: far sheets behind laminate.</summary>
    private const double Negligible = 1e-9;

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

    /// <summary>Adds a link, unless it is no more than <paramref name="least"/>.</summary>
    private void Link(int node, int column, int row, int sheet, double conductance, double least)
    {
        if (conductance > least) _links.Add(new(node, column, row, sheet, conductance));
    }

    private static double Least(LinkedColumn c, int node) => Negligible * c.Conductance[node].Sum();

    private void KeepLinks(LinkedColumn c)
    {
        for (var n = 0; n < c.Nodes.Length; n++)
        {
            for (var s = 0; s < c.Conductance[n].Length; s++) Link(c.Nodes[n], c.Column, c.Row, s, c.Conductance[n][s], least: 0);
        }
    }

    private void SplitLateral(LinkedColumn c, double[] rest, (int X, int Y) direction)
    {
        int x = c.Column + direction.X, y = c.Row + direction.Y;
        if (x < 0 || y < 0 || x >= _level.Shape.Columns || y >= _level.Shape.Rows) return;
        var both = _eliminated.TryGetValue((x, y), out var other);
        if (both && (direction.X < 0 || direction.Y < 0)) return;
        var lateral = new double[rest.Length];
        for (var s = 0; s < rest.Length; s++) lateral[s] = *_level.LateralPlace(c.Column, c.Row, direction.X, direction.Y, s);
        for (var n = 0; n < c.Nodes.Length; n++)
        {
            var least = Least(c, n);
            for (var s = 0; s < rest.Length; s++) Link(c.Nodes[n], x, y, s, lateral[s] * c.Shape[n][s] * (both ? other.Remainder[s] : 1), least);
            for (var m = 0; both && m < other.Column.Nodes.Length; m++) _nodes.Join(c.Nodes[n], other.Column.Nodes[m], Sum(lateral, c.Shape[n], other.Column.Shape[m]));
        }

        for (var m = 0; both && m < other.Column.Nodes.Length; m++)
        {
            var least = Least(other.Column, m);
            for (var s = 0; s < rest.Length; s++) Link(other.Column.Nodes[m], c.Column, c.Row, s, lateral[s] * other.Column.Shape[m][s] * rest[s], least);
        }

        for (var s = 0; s < rest.Length; s++) Set(_level.LateralPlace(c.Column, c.Row, direction.X, direction.Y, s), lateral[s] * rest[s] * (both ? other.Remainder[s] : 1));
    }

    private void SplitVertical(LinkedColumn c, double[] rest)
    {
        var vertical = _level.Multiplier[c.Color].Pointer + _level.Shape.ColumnStart(c.Column, c.Row);
        var between = new double[rest.Length - 1];
        for (var s = 0; s < between.Length; s++) between[s] = vertical[s * _level.Shape.Half];
        for (var s = 0; s < between.Length; s++) Set(vertical + (s * _level.Shape.Half), between[s] * rest[s] * rest[s + 1]);
    }

    /// <summary>Σ conductance × first × second.</summary>
    private static double Sum(ReadOnlySpan<double> conductance, ReadOnlySpan<double> first, ReadOnlySpan<double> second)
    {
        var sum = 0.0;
        for (var s = 0; s < conductance.Length; s++) sum += conductance[s] * first[s] * second[s];
        return sum;
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
