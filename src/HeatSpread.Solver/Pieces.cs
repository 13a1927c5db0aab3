using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>
/// The pieces of a network that nothing joins but the sink, told apart in the plan (a column of cells counts as one), and among them the weakly cooled ones. Raising
/// a whole piece changes its residual by its links to the sink alone; where those are lost in single precision beside the links inside, the hierarchy gets stronger ones, and
/// the piece's mean is set in double between the rounds (deflation of the lowest mode, Nicolaides 1987).
/// </summary>
internal sealed class Pieces
{
    /// <summary>Links to the sink over links inside, below which a piece is weakly cooled and its mean is set in double.</summary>
    private const double Weak = 1e-4;

    /// <summary>
    /// As <see cref="Weak"/>, what the hierarchy has at least: some roundings of single precision. No more: what the hierarchy has too much, every round leaves to the next one.
    /// </summary>
    private const double LeastInHierarchy = 4e-7;

    private readonly int _planCells;
    private readonly int[] _ofPlan;
    private readonly double[] _toSink;
    private readonly double[] _raise;
    private readonly bool[] _weak;
    private readonly bool[] _cooledSheets;

    private Pieces(int planCells, int[] ofPlan, bool[] cooledSheets, (double Sink, double Inside)[] sums)
    {
        _planCells = planCells;
        _ofPlan = ofPlan;
        _cooledSheets = cooledSheets;
        _toSink = [.. sums.Select(s => s.Sink)];
        _raise = [.. sums.Select(s => s.Sink > 0 ? Math.Max(1, LeastInHierarchy * s.Inside / s.Sink) : 1)];
        _weak = [.. sums.Select(s => s.Sink > 0 && s.Sink < Weak * s.Inside)];
        AnyWeak = _weak.Contains(true);
        AnyRaised = _raise.Any(r => r > 1);
    }

    /// <summary>Whether some piece is weakly cooled; otherwise there is nothing to balance.</summary>
    public bool AnyWeak { get; }

    /// <summary>Whether the hierarchy needs stronger links than the network has.</summary>
    public bool AnyRaised { get; }

    public static Pieces Find(ConductanceGrid grid, Conductances network)
    {
        int plane = grid.Columns * grid.Rows;
        double[] east = OverSheets(network.East, plane), north = OverSheets(network.North, plane), sink = OverSheets(network.ToSink, plane);
        var parent = new int[plane + grid.NodeCount];
        for (var i = 0; i < parent.Length; i++) parent[i] = i;
        for (var column = 0; column < plane; column++)
        {
            if (east[column] > 0) Join(parent, column, column + 1);
            if (north[column] > 0) Join(parent, column, column + grid.Columns);
        }

        foreach (var link in network.Links) Join(parent, plane + link.Node, (link.Row * grid.Columns) + link.Column);
        foreach (var link in grid.NodeNodeLinks) Join(parent, plane + link.First, plane + link.Second);
        for (var column = 0; column < plane; column++) east[column] += north[column];
        bool[] cooled = [.. Enumerable.Range(0, grid.Sheets).Select(sheet => network.ToSink.AsSpan(sheet * plane, plane).ContainsAnyExcept(0f))];
        return Number(parent, grid, east, sink, cooled);
    }

    /// <summary>Links to the sink for the hierarchy: those of weakly cooled pieces made stronger.</summary>
    public float[] Raised(float[] toSink) => AnyRaised ? [.. toSink.Select((g, i) => (float)(g * _raise[_ofPlan[i % _planCells]]))] : toSink;

    /// <summary>As <see cref="Raised(float[])"/>, for the nodes.</summary>
    public double[] Raised(double[] nodeToSink) => AnyRaised ? [.. nodeToSink.Select((g, node) => g * _raise[_ofPlan[_planCells + node]])] : nodeToSink;

    /// <summary>Heat into each piece, W.</summary>
    public double[] HeatOf(ReadOnlySpan<double> heat)
    {
        var sum = new double[_toSink.Length];
        int nodes = _ofPlan.Length - _planCells, cells = heat.Length - nodes;
        for (var start = 0; start < cells; start += _planCells) AddByPiece(sum, heat.Slice(start, _planCells), _ofPlan);
        AddByPiece(sum, heat[cells..], _ofPlan.AsSpan(_planCells));
        return sum;
    }

    /// <summary>Sets the mean of each weakly cooled piece so that what leaves it is what is put in.</summary>
    /// <param name="network">The network as it is.</param>
    /// <param name="nodeToSink">W/K of the nodes.</param>
    /// <param name="heat">Of each piece: <see cref="HeatOf"/>.</param>
    /// <param name="temperature">Changed.</param>
    public void Balance(Conductances network, double[] nodeToSink, double[] heat, Span<double> temperature)
    {
        var rise = (double[])heat.Clone();
        int cells = network.ToSink.Length;
        for (var start = 0; start < cells; start += _planCells)
        {
            if (!_cooledSheets[start / _planCells]) continue;
            var sink = network.ToSink.AsSpan(start, _planCells);
            var sheet = temperature.Slice(start, _planCells);
            for (var column = 0; column < sink.Length; column++) rise[_ofPlan[column]] -= sink[column] * sheet[column];
        }

        for (var node = 0; node < nodeToSink.Length; node++) rise[_ofPlan[_planCells + node]] -= nodeToSink[node] * temperature[cells + node];
        for (var piece = 0; piece < rise.Length; piece++) rise[piece] = _weak[piece] ? rise[piece] / _toSink[piece] : 0;
        for (var start = 0; start < cells; start += _planCells) Raise(temperature.Slice(start, _planCells), rise, _ofPlan);
        Raise(temperature[cells..], rise, _ofPlan.AsSpan(_planCells));
    }

    private static void AddByPiece(double[] sum, ReadOnlySpan<double> values, ReadOnlySpan<int> piece)
    {
        for (var i = 0; i < values.Length; i++) sum[piece[i]] += values[i];
    }

    private static void Raise(Span<double> temperature, double[] rise, ReadOnlySpan<int> piece)
    {
        if (rise.Length == 1)
        {
            var all = rise[0];
            for (var i = 0; i < temperature.Length; i++) temperature[i] += all;
            return;
        }

        for (var i = 0; i < temperature.Length; i++) temperature[i] += rise[piece[i]];
    }

    private static double[] OverSheets(float[] values, int plane)
    {
        var sum = new double[plane];
        for (var start = 0; start < values.Length; start += plane)
        {
            for (var column = 0; column < plane; column++) sum[column] += values[start + column];
        }

        return sum;
    }

    private static Pieces Number(int[] parent, ConductanceGrid grid, double[] inside, double[] sink, bool[] cooledSheets)
    {
        var plane = inside.Length;
        var number = new int[parent.Length];
        List<(double Sink, double Inside)> sums = [];
        for (var i = 0; i < parent.Length; i++)
        {
            // A root is the least member of its piece, so it is numbered before the others.
            var root = Root(parent, i);
            if (root == i)
            {
                number[i] = sums.Count;
                sums.Add(default);
            }

            number[i] = number[root];
        }

        var all = sums.ToArray();
        for (var i = 0; i < plane; i++)
        {
            ref var sum = ref all[number[i]];
            sum.Sink += sink[i];
            sum.Inside += inside[i];
        }

        for (var node = 0; node < grid.NodeCount; node++) all[number[plane + node]].Sink += grid.NodeToSink[node];
        return new(plane, number, cooledSheets, all);
    }

    private static void Join(int[] parent, int a, int b)
    {
        int ra = Root(parent, a), rb = Root(parent, b);
        if (ra != rb) parent[Math.Max(ra, rb)] = Math.Min(ra, rb);
    }

    private static int Root(int[] parent, int i)
    {
        while (parent[i] != i) i = parent[i] = parent[parent[i]];
        return i;
    }
}
