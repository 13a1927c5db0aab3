namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Direct solver for the small systems at the bottom of the hierarchy and among the nodes: L D Lᵀ by rows (up-looking; T. A. Davis, Direct Methods for
/// Sparse Linear Systems, 2006, chapter 4) after a minimum degree ordering.
/// </summary>
internal sealed class SparseCholesky
{
    /// <summary>Share of what is left that an unknown with the fewest neighbours must be joined to for the rest to count as one block.</summary>
    private const double DenseShare = 0.6;

    private readonly int[] _order, _rowStart, _column;
    private readonly double[] _lower, _inverse;

    private SparseCholesky(int[] order, int[] rowStart, int[] column, double[] lower, double[] inverse) =>
        (_order, _rowStart, _column, _lower, _inverse) = (order, rowStart, column, lower, inverse);

    public int Size => _order.Length;

    /// <param name="diagonal">n values.</param>
    /// <param name="neighbours">For each row the entries beside the diagonal, both triangles.</param>
    public static SparseCholesky Factor(double[] diagonal, IReadOnlyList<Dictionary<int, double>> neighbours)
    {
        var (order, pattern) = MinimumDegree(neighbours);
        var n = order.Length;
        var place = new int[n];
        for (var k = 0; k < n; k++) place[order[k]] = k;
        var rows = RowsOfFactor(pattern, place);
        var rowStart = new int[n + 1];
        for (var k = 0; k < n; k++) rowStart[k + 1] = rowStart[k] + rows[k].Length;
        int[] column = new int[rowStart[n]];
        double[] lower = new double[rowStart[n]], inverse = new double[n], work = new double[n];
        for (var k = 0; k < n; k++)
        {
            rows[k].CopyTo(column, rowStart[k]);
            foreach (var (j, value) in neighbours[order[k]]) work[place[j]] = value;
            var pivot = diagonal[order[k]];
            for (var e = rowStart[k]; e < rowStart[k + 1]; e++)
            {
                // Row k of L D, one column after the other: each needs the earlier ones of both rows.
                var j = column[e];
                var sum = work[j];
                for (var f = rowStart[j]; f < rowStart[j + 1]; f++) sum -= lower[f] * work[column[f]];
                work[j] = sum;
                lower[e] = sum * inverse[j];
                pivot -= lower[e] * sum;
            }

            for (var e = rowStart[k]; e < rowStart[k + 1]; e++) work[column[e]] = 0;
            foreach (var (j, _) in neighbours[order[k]]) work[place[j]] = 0;
            inverse[k] = pivot > 1e-14 * diagonal[order[k]] ? 1 / pivot : 0;
        }

        return new(order, rowStart, column, lower, inverse);
    }

    /// <summary>x = A⁻¹ b. An unknown without any conductance gets 0.</summary>
    public void Solve(ReadOnlySpan<double> b, Span<double> x, Span<double> work)
    {
        for (var k = 0; k < Size; k++)
        {
            var sum = b[_order[k]];
            for (var e = _rowStart[k]; e < _rowStart[k + 1]; e++) sum -= _lower[e] * work[_column[e]];
            work[k] = sum;
        }

        for (var k = 0; k < Size; k++) work[k] *= _inverse[k];
        for (var k = Size - 1; k >= 0; k--)
        {
            var value = work[k];
            x[_order[k]] = value;
            for (var e = _rowStart[k]; e < _rowStart[k + 1]; e++) work[_column[e]] -= _lower[e] * value;
        }
    }

    /// <summary>
    /// Always eliminates an unknown with the fewest neighbours; returns the order and, for each step, the neighbours left at that time. Where all that is left is joined to all,
    /// any order will do: the nodes of many parts become such a block on the coarse levels, and sets of neighbours would cost more than the factorisation.
    /// </summary>
    private static (int[] Order, int[][] Pattern) MinimumDegree(IReadOnlyList<Dictionary<int, double>> neighbours)
    {
        var n = neighbours.Count;
        var left = neighbours.Select(d => new HashSet<int>(d.Keys)).ToArray();
        var queue = new PriorityQueue<int, (int, int)>();
        for (var i = 0; i < n; i++) queue.Enqueue(i, (left[i].Count, i));
        var order = new List<int>(n);
        var pattern = new int[n][];
        var done = new bool[n];
        while (queue.TryDequeue(out var i, out var priority))
        {
            if (done[i] || priority.Item1 != left[i].Count) continue;
            if (left[i].Count >= DenseShare * (n - order.Count - 1))
            {
                EliminateAll(done, order, pattern);
                break;
            }

            done[i] = true;
            order.Add(i);
            pattern[i] = [.. left[i]];
            foreach (var j in pattern[i])
            {
                left[j].Remove(i);
                left[j].UnionWith(pattern[i]);
                left[j].Remove(j);
                queue.Enqueue(j, (left[j].Count, j));
            }
        }

        return ([.. order], pattern);
    }

    /// <summary>The rest as one block.</summary>
    private static void EliminateAll(bool[] done, List<int> order, int[][] pattern)
    {
        int[] rest = [.. Enumerable.Range(0, done.Length).Where(i => !done[i])];
        for (var k = 0; k < rest.Length; k++) pattern[rest[k]] = rest[(k + 1)..];
        order.AddRange(rest);
    }

    private static int[][] RowsOfFactor(int[][] pattern, int[] place)
    {
        var rows = new List<int>[place.Length];
        for (var k = 0; k < rows.Length; k++) rows[k] = [];
        for (var i = 0; i < place.Length; i++)
        {
            foreach (var j in pattern[i]) rows[place[j]].Add(place[i]);
        }

        return [.. rows.Select(r => r.Order().ToArray())];
    }
}
