using System.Runtime.CompilerServices;
using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// Raising a whole <see cref="ClusterTree">cluster</see> changes its residual by its links to the outside alone, which single precision loses beside the links inside. So each cluster has a temperature of its own in
/// double, its offset, which is set before each round so that the heat of all clusters is balanced (deflation of the lowest modes, Nicolaides 1987); the field that the rounds correct is what is left
/// without the offsets. (Arrays of offsets: one of all clusters, then of each what it has more, as between clusters differences count, which may be a billionth of the rise over the sink.)
/// </summary>
internal sealed class Clusters
{
    private readonly ConductanceGrid _grid;

    /// <summary>Of each unknown; null where all are in one cluster.</summary>
    private readonly int[]? _label;
    private readonly StarMesh _between;
    private readonly WeakLinks _links;

    private Clusters(ConductanceGrid grid, int[]? label, int count, bool isOne, StarMesh between, WeakLinks links) =>
        (_grid, _label, Count, IsOne, _between, _links) = (grid, label, count, isOne, between, links);

    public int Count { get; }

    /// <summary>Whether all that the network links is in one cluster. Its offset then is part of what flows to the sink, and <see cref="AddFlows"/> has nothing to do.</summary>
    public bool IsOne { get; }

    /// <param name="labels">Of the network's clusters.</param>
    /// <param name="grid">For the nodes.</param>
    /// <param name="network">The network.</param>
    /// <param name="nodeLinks">Among nodes.</param>
    /// <param name="team">Shares the search of links.</param>
    public static Clusters Of(ClusterLabels labels, ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, ThreadTeam team)
    {
        if (IsSimple(labels)) return Simple(labels, grid, network);
        var (label, count) = labels.HasOthers ? ClusterAggregates.Of(labels, grid, team.Cancellation) : (labels.Label!, labels.Count);
        return Of(label, count, grid, network, nodeLinks, team);
    }

    /// <summary>The same clusters in a network of the same links with other conductances.</summary>
    /// <param name="labels">Of these clusters.</param>
    /// <param name="grid">For the nodes.</param>
    /// <param name="network">The other network.</param>
    /// <param name="nodeLinks">Among its nodes.</param>
    /// <param name="team">Shares the search of links.</param>
    public Clusters In(ClusterLabels labels, ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, ThreadTeam team) =>
        IsSimple(labels) ? Simple(labels, grid, network) : Of(_label!, Count, grid, network, nodeLinks, team);

    private static bool IsSimple(ClusterLabels labels) => labels.IsOne || labels.Count == 0;

    private static Clusters Simple(ClusterLabels labels, ConductanceGrid grid, Conductances network) =>
        new(grid, labels.Label, labels.Count, labels.IsOne, StarMesh.Factor(labels.IsOne ? [labels.ToSink(grid, network)] : [], [.. labels.Parent.Select(_ => new Dictionary<int, double>())]), WeakLinks.None);

    private static Clusters Of(int[] label, int count, ConductanceGrid grid, Conductances network, (int First, int Second, double Conductance)[] nodeLinks, ThreadTeam team)
    {
        var (toOutside, between) = (new double[count], new Dictionary<int, double>[count]);
        for (var k = 0; k < between.Length; k++) between[k] = [];
        var links = WeakLinks.Find(label, grid, network, nodeLinks, team);
        foreach (var link in links.All)
        {
            int from = label[link.From], to = link.To < 0 ? -1 : label[link.To];
            if (from < 0) continue;
            if (to < 0) toOutside[from] += link.Conductance;
            else between[from][to] = between[from].GetValueOrDefault(to) + link.Conductance;
        }

        return new(grid, label, count, false, StarMesh.Factor(toOutside, between), links);
    }

    private int LabelOf(int unknown) => _label == null ? 0 : _label[unknown];

    /// <summary>Takes offsets out of a first guess: of each cluster the temperature of its first member.</summary>
    public double[] TakeOffsets(Span<double> temperature)
    {
        var offset = new double[Count + 1];
        var seen = new bool[Count];
        // Where the label is left out, the first may be an absent cell, at 0.
        for (int i = _label == null ? Math.Max(0, temperature.IndexOfAnyExcept(0.0)) : 0, left = Count; i < temperature.Length && left > 0; i++)
        {
            if (LabelOf(i) is not (>= 0 and var cluster) || seen[cluster]) continue;
            if (left == Count) offset[0] = temperature[i];
            (seen[cluster], offset[cluster + 1]) = (true, temperature[i] - offset[0]);
            left--;
        }

        Add(temperature, 0, offset, -1);
        return offset;
    }

    /// <summary>By how much an unknown's temperature is above what it is without offsets.</summary>
    public double OffsetOf(int unknown, double[] offset) => Count > 0 && LabelOf(unknown) is >= 0 and var cluster ? offset[0] + offset[cluster + 1] : 0;

    /// <summary>temperature += factor × offset, from an unknown on.</summary>
    /// <param name="temperature">Of the unknowns from <paramref name="first"/> on.</param>
    /// <param name="first">Unknown.</param>
    /// <param name="offset">Of the clusters.</param>
    /// <param name="factor">-1 takes them out.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Add(Span<double> temperature, int first, double[] offset, double factor = 1)
    {
        if (!offset.AsSpan().ContainsAnyExcept(0.0)) return;
        if (_label == null)
        {
            VectorKernels.Add(temperature, factor * (offset[0] + offset[1]));
            return;
        }

        for (var i = 0; i < temperature.Length; i++)
        {
            if (_label[first + i] is >= 0 and var cluster) temperature[i] += factor * (offset[0] + offset[cluster + 1]);
        }
    }

    /// <summary>Heat into each cluster, W.</summary>
    /// <param name="heat">Of the unknowns, W.</param>
    /// <param name="total">Their sum, W.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public double[] HeatOf(ReadOnlySpan<double> heat, double total)
    {
        if (_label == null) return Count == 0 ? [] : [total];
        var sum = new double[Count];
        for (var i = 0; i < heat.Length; i++)
        {
            if (heat[i] != 0 && _label[i] >= 0) sum[_label[i]] += heat[i];
        }

        return sum;
    }

    /// <summary>Changes the offsets so that what flows out of each cluster is what is put in.</summary>
    /// <param name="heat">Of each cluster: <see cref="HeatOf"/>.</param>
    /// <param name="temperature">Without offsets.</param>
    /// <param name="cellsToSink">Where <see cref="IsOne"/>: what flows from cells to the sink at these temperatures, W.</param>
    /// <param name="offset">Changed.</param>
    public void Balance(double[] heat, ReadOnlySpan<double> temperature, double cellsToSink, double[] offset)
    {
        if (Count == 0) return;
        var surplus = (double[])heat.Clone();
        if (IsOne)
        {
            surplus[0] -= cellsToSink;
            for (var node = 0; node < _grid.NodeCount; node++) surplus[0] -= LabelOf(_grid.CellCount + node) == 0 ? _grid.NodeToSink[node] * temperature[_grid.CellCount + node] : 0;
            _between.Solve(surplus);
            (offset[0], offset[1]) = (surplus[0], 0);
            return;
        }

        foreach (var link in _links.All)
        {
            if (LabelOf(link.From) is >= 0 and var from) surplus[from] += FlowInto(link, offset) - (link.Conductance * (temperature[link.From] - (link.To < 0 ? 0 : temperature[link.To])));
        }

        _between.Solve(surplus);
        var first = offset[1] + surplus[0];
        for (var k = 0; k < Count; k++) offset[k + 1] += surplus[k] - first;
        offset[0] += first;
    }

    /// <summary>residual += what the offsets make flow into the cells of one row of one sheet.</summary>
    public void AddFlows(int sheet, int row, double[] offset, Span<double> residual)
    {
        foreach (var link in _links.OfRow((sheet * _grid.Rows) + row)) residual[link.From % _grid.Columns] += FlowInto(link, offset);
    }

    /// <summary>As <see cref="AddFlows"/>, into the nodes.</summary>
    public void AddNodeFlows(double[] offset, double[] residual)
    {
        for (var node = 0; IsOne && node < residual.Length; node++) residual[node] -= LabelOf(_grid.CellCount + node) == 0 ? _grid.NodeToSink[node] * offset[0] : 0;
        foreach (var link in _links.OfNodes) residual[link.From - _grid.CellCount] += FlowInto(link, offset);
    }

    private double FlowInto(WeakLink link, double[] offset)
    {
        if (LabelOf(link.From) is not (>= 0 and var from)) return 0;
        return link.Conductance * (link.To < 0 ? -(offset[0] + offset[from + 1]) : offset[LabelOf(link.To) + 1] - offset[from + 1]);
    }
}
