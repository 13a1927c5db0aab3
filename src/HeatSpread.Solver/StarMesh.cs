namespace HeatSpread.Solver;

/// <summary>
/// Direct solver in double for a small network of conductances: unknowns leave one after the other by the star-mesh transformation (Rosen 1924), those with the fewest neighbours first.
/// Only sums of positive numbers appear (as in Grassmann, Taksar, Heyman 1985), so that links to the sink of 1e-20 of the others keep all their digits.
/// </summary>
internal sealed class StarMesh
{
    private readonly int[] _order;
    private readonly double[] _inverse;
    private readonly (int Other, double Share)[][] _shares;

    private StarMesh(int[] order, double[] inverse, (int, double)[][] shares) => (_order, _inverse, _shares) = (order, inverse, shares);

    /// <param name="toSink">Of each unknown; changed.</param>
    /// <param name="links">Of each unknown to its neighbours, both ways; changed.</param>
    public static StarMesh Factor(double[] toSink, Dictionary<int, double>[] links)
    {
        var n = toSink.Length;
        var queue = new PriorityQueue<int, (int, int)>();
        for (var i = 0; i < n; i++) queue.Enqueue(i, (links[i].Count, i));
        List<int> order = new(n);
        double[] inverse = new double[n];
        var shares = new (int Other, double Share)[n][];
        while (queue.TryDequeue(out var i, out var priority))
        {
            if (shares[i] != null || priority.Item1 != links[i].Count) continue;
            order.Add(i);
            var sum = toSink[i] + links[i].Values.Sum();
            inverse[i] = sum > 0 ? 1 / sum : 0;
            shares[i] = [.. links[i].Select(link => (link.Key, link.Value * inverse[i]))];
            Eliminate(i, shares[i], toSink, links);
            foreach (var (j, _) in shares[i]) queue.Enqueue(j, (links[j].Count, j));
        }

        return new([.. order], inverse, shares);
    }

    private static void Eliminate(int i, (int Other, double Share)[] shares, double[] toSink, Dictionary<int, double>[] links)
    {
        for (var a = 0; a < shares.Length; a++)
        {
            var (j, share) = shares[a];
            links[j].Remove(i);
            toSink[j] += share * toSink[i];
            for (var b = 0; b < a; b++)
            {
                var k = shares[b].Other;
                var g = share * links[i][k];
                links[j][k] = links[j].GetValueOrDefault(k) + g;
                links[k][j] = links[k].GetValueOrDefault(j) + g;
            }
        }
    }

    /// <summary>Heat in, temperatures out.</summary>
    public void Solve(double[] values)
    {
        foreach (var i in _order)
        {
            foreach (var (j, share) in _shares[i]) values[j] += share * values[i];
        }

        for (var k = _order.Length - 1; k >= 0; k--)
        {
            var i = _order[k];
            values[i] *= _inverse[i];
            foreach (var (j, share) in _shares[i]) values[i] += share * values[j];
        }
    }
}
