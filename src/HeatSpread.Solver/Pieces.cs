using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
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

    /// <param name="planCells">Columns of cells.</param>
    /// <param name="ofPlan">The piece of each column and node; null where there is one piece and no node.</param>
    /// <param name="cooledSheets">Whether a sheet has links to the sink.</param>
    /// <param name="sums">Of each piece.</param>
    private Pieces(int planCells, int[]? ofPlan, bool[] cooledSheets, (double Sink, double Inside)[] sums)
    {
        _planCells = planCells;
        _cooledSheets = cooledSheets;
        _toSink = [.. sums.Select(s => s.Sink)];
        _raise = [.. sums.Select(s => s.Sink > 0 ? Math.Max(1, LeastInHierarchy * s.Inside / s.Sink) : 1)];
        _weak = [.. sums.Select(s => s.Sink > 0 && s.Sink < Weak * s.Inside)];
        AnyWeak = _weak.Contains(true);
        AnyRaised = _raise.Any(r => r > 1);
        _ofPlan = ofPlan ?? (AnyWeak || AnyRaised ? new int[planCells] : []);
    }

    /// <summary>Whether some piece is weakly cooled; otherwise there is nothing to balance.</summary>
    public bool AnyWeak { get; }

    /// <summary>Whether the hierarchy needs stronger links than the network has.</summary>
    public bool AnyRaised { get; }

    public static Pieces Find(ConductanceGrid grid, Conductances network)
    {
        bool[] cooled = [.. Enumerable.Range(0, grid.Sheets).Select(sheet => network.ToSink.AsSpan(sheet * grid.Columns * grid.Rows, grid.Columns * grid.Rows).ContainsAnyExcept(0f))];
        // Most boards are one piece, each column joined to the next: then there is nothing to search.
        if (grid.NodeCount == 0 && IsWhole(network, out var whole)) return new(grid.Columns * grid.Rows, null, cooled, [whole]);
        return Search(grid, network, cooled);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static Pieces Search(ConductanceGrid grid, Conductances network, bool[] cooled)
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
        return Number(parent, grid, east, sink, cooled);
    }

    /// <summary>Whether each column is joined to the next one east and north; and if so the sums over all columns.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static bool IsWhole(Conductances network, out (double Sink, double Inside) sum)
    {
        sum = default;
        int columns = network.Columns, plane = columns * network.Rows;
        for (var row = 0; row < network.Rows; row++)
        {
            var northmost = row + 1 == network.Rows;
            var x = 0;
            for (; x + 17 <= columns; x += 16)
            {
                Vector512<float> east = default, north = default, sink = default;
                for (var i = (row * columns) + x; i < network.East.Length; i += plane)
                {
                    east += Vector512.LoadUnsafe(ref network.East[i]);
                    north += Vector512.LoadUnsafe(ref network.North[i]);
                    sink += Vector512.LoadUnsafe(ref network.ToSink[i]);
                }

                if (Vector512.EqualsAny(east, Vector512<float>.Zero) || (!northmost && Vector512.EqualsAny(north, Vector512<float>.Zero))) return false;
                sum.Sink += Vector512.Sum(sink);
                sum.Inside += Vector512.Sum(east + north);
            }

            for (; x < columns; x++)
            {
                double east = 0, north = 0;
                for (var i = (row * columns) + x; i < network.East.Length; i += plane) (east, north, sum.Sink) = (east + network.East[i], north + network.North[i], sum.Sink + network.ToSink[i]);
                if ((east == 0 && x + 1 < columns) || (north == 0 && !northmost)) return false;
                sum.Inside += east + north;
            }
        }

        return true;
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

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void AddByPiece(double[] sum, ReadOnlySpan<double> values, ReadOnlySpan<int> piece)
    {
        for (var i = 0; i < values.Length; i++) sum[piece[i]] += values[i];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
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

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static double[] OverSheets(float[] values, int plane)
    {
        var sum = new double[plane];
        var column = 0;
        for (; column + 16 <= plane; column += 16)
        {
            Vector512<double> low = default, high = default;
            for (var i = column; i < values.Length; i += plane)
            {
                var (l, h) = Vector512.Widen(Vector512.Create<float>(values.AsSpan(i, 16)));
                (low, high) = (low + l, high + h);
            }

            low.CopyTo(sum, column);
            high.CopyTo(sum, column + 8);
        }

        for (; column < plane; column++)
        {
            for (var i = column; i < values.Length; i += plane) sum[column] += values[i];
        }

        return sum;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
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

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Join(int[] parent, int a, int b)
    {
        int ra = Root(parent, a), rb = Root(parent, b);
        if (ra != rb) parent[Math.Max(ra, rb)] = Math.Min(ra, rb);
    }

    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private static int Root(int[] parent, int i)
    {
        while (parent[i] != i) i = parent[i] = parent[parent[i]];
        return i;
    }
}
