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

    /// <summary>As <see cref="Weak"/>, what the hierarchy has at least: some tens of roundings of single precision.</summary>
    private const double LeastInHierarchy = 4e-6;

    private readonly int _planCells;
    private readonly int[] _ofPlan;
    private readonly double[] _toSink;
    private readonly double[] _raise;
    private readonly bool[] _weak;

    private Pieces(int planCells, int[] ofPlan, double[] toSink, double[] raise, bool[] weak) => (_planCells, _ofPlan, _toSink, _raise, _weak) = (planCells, ofPlan, toSink, raise, weak);

    /// <summary>Whether some piece is weakly cooled; otherwise there is nothing to balance.</summary>
    public bool AnyWeak => _weak.Any(w => w);

    /// <summary>Whether the hierarchy needs stronger links than the network has.</summary>
    public bool AnyRaised => _raise.Any(r => r > 1);

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
        return Number(parent, grid, [.. east.Zip(north, (e, n) => e + n)], sink);
    }

    /// <summary>Links to the sink for the hierarchy: those of weakly cooled pieces made stronger.</summary>
    public float[] Raised(float[] toSink) => AnyRaised ? [.. toSink.Select((g, i) => (float)(g * _raise[_ofPlan[i % _planCells]]))] : toSink;

    /// <summary>As <see cref="Raised(float[])"/>, for the nodes.</summary>
    public double[] Raised(double[] nodeToSink) => AnyRaised ? [.. nodeToSink.Select((g, node) => g * _raise[_ofPlan[_planCells + node]])] : nodeToSink;

    /// <summary>Sets the mean of each weakly cooled piece so that what leaves it is what is put in.</summary>
    public void Balance(Conductances network, double[] nodeToSink, ReadOnlySpan<double> heat, Span<double> temperature)
    {
        var missing = new double[_toSink.Length];
        int cells = network.ToSink.Length;
        for (var i = 0; i < cells; i++) missing[_ofPlan[i % _planCells]] += heat[i] - (network.ToSink[i] * temperature[i]);
        for (var node = 0; node < nodeToSink.Length; node++) missing[_ofPlan[_planCells + node]] += heat[cells + node] - (nodeToSink[node] * temperature[cells + node]);
        for (var piece = 0; piece < missing.Length; piece++) missing[piece] = _weak[piece] ? missing[piece] / _toSink[piece] : 0;
        for (var i = 0; i < cells; i++) temperature[i] += missing[_ofPlan[i % _planCells]];
        for (var node = 0; node < nodeToSink.Length; node++) temperature[cells + node] += missing[_ofPlan[_planCells + node]];
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

    private static Pieces Number(int[] parent, ConductanceGrid grid, double[] inside, double[] sink)
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

            var piece = number[i] = number[root];
            sums[piece] = (sums[piece].Sink + (i < plane ? sink[i] : grid.NodeToSink[i - plane]), sums[piece].Inside + (i < plane ? inside[i] : 0));
        }

        double[] raise = [.. sums.Select(s => s.Sink > 0 ? Math.Max(1, LeastInHierarchy * s.Inside / s.Sink) : 1)];
        return new(plane, number, [.. sums.Select(s => s.Sink)], raise, [.. sums.Select(s => s.Sink > 0 && s.Sink < Weak * s.Inside)]);
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
