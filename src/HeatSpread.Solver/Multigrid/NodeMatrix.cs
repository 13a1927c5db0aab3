namespace HeatSpread.Solver.Multigrid;

/// <summary>The nodes of one level: conductances among them and to the sink, and the sum of each node's links to cells.</summary>
internal sealed class NodeMatrix
{
    private readonly double[] _toSink, _toCells;
    private readonly Dictionary<(int First, int Second), double> _links;
    private (int First, int Second, double Conductance)[]? _linkList;

    public NodeMatrix(double[] toSink, IEnumerable<NodeLink> cellLinks, IEnumerable<(int First, int Second, double Conductance)> links)
    {
        (_toSink, _toCells, _links) = ([.. toSink], new double[toSink.Length], []);
        foreach (var link in cellLinks) _toCells[link.Node] += link.Conductance;
        foreach (var (a, b, g) in links) Join(a, b, g);
    }

    public int Count => _toSink.Length;

    /// <summary>A copy to be changed, then to be given its links.</summary>
    public NodeMatrix WithoutCellLinks() => new(_toSink, [], Links());

    public NodeMatrix WithCellLinks(IEnumerable<NodeLink> links) => new(_toSink, links, Links());

    /// <summary>Only while the matrix is being built.</summary>
    public void Join(int a, int b, double conductance)
    {
        if (a == b || conductance <= 0) return;
        var key = (Math.Min(a, b), Math.Max(a, b));
        _links[key] = _links.GetValueOrDefault(key) + conductance;
    }

    /// <summary>Only while the matrix is being built.</summary>
    public void ToSink(int node, double conductance) => _toSink[node] += conductance;

    /// <summary>residual = rhs − matrix × value, but for the cells.</summary>
    public void Residual(double[] rhs, double[] value, double[] residual)
    {
        for (var i = 0; i < Count; i++) residual[i] = rhs[i] - ((_toSink[i] + _toCells[i]) * value[i]);
        foreach (var (a, b, g) in _linkList ??= [.. Links()])
        {
            var flow = g * (value[a] - value[b]);
            residual[a] -= flow;
            residual[b] += flow;
        }
    }

    /// <summary>Diagonal and the entries beside it, both triangles, to be changed by the caller.</summary>
    public (double[] Diagonal, Dictionary<int, double>[] Neighbours) Copy()
    {
        var diagonal = new double[Count];
        var neighbours = new Dictionary<int, double>[Count];
        for (var i = 0; i < Count; i++) (diagonal[i], neighbours[i]) = (_toSink[i] + _toCells[i], []);
        foreach (var ((a, b), g) in _links)
        {
            diagonal[a] += g;
            diagonal[b] += g;
            neighbours[a][b] = neighbours[b][a] = -g;
        }

        return (diagonal, neighbours);
    }

    private IEnumerable<(int, int, double)> Links() => _links.Select(p => (p.Key.First, p.Key.Second, p.Value));
}

/// <summary>Node-sized scratch of one solve.</summary>
internal sealed class NodeScratch(int count)
{
    public double[] Residual { get; } = new double[count];

    public double[] Change { get; } = new double[count];

    public double[] Work { get; } = new double[count];
}
