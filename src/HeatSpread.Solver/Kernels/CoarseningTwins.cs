using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver.Kernels;

/// <summary>
/// <see cref="Coarsening"/> by its definition, cell by cell: what its vector loops must compute, to read and to test against. A fine cell's value is a mean of coarse ones of its sheet; a link's energy g (Σ d T)² then
/// is, between each two coarse cells i and j, a conductance −g d(i) d(j).
/// </summary>
internal sealed unsafe class CoarseningTwins
{
    private readonly Level _level;
    private readonly Shape _shape;

    /// <summary>By cell: the shares of the four coarse columns around, south-west, south-east, north-west, north-east.</summary>
    private readonly double[][] _share;
    private readonly Conductances _coarse;
    private readonly double[] _east, _north, _below, _toSink;

    private CoarseningTwins(Level level, Conductances coarse)
    {
        (_level, _shape, _coarse, _share) = (level, level.Shape, coarse, new double[level.Shape.Unknowns][]);
        (_east, _north, _below, _toSink) = (new double[coarse.East.Length], new double[coarse.East.Length], new double[coarse.East.Length], new double[coarse.East.Length]);
    }

    /// <summary>Twin of <see cref="Coarsening.Weights"/>, for one column.</summary>
    /// <param name="near">To the western or southern coarse column, by sheet.</param>
    /// <param name="far">To the other one; all zero where <paramref name="hasFar"/> is not.</param>
    /// <param name="vertical">To the next sheet.</param>
    /// <param name="coarse">Greatest vertical conductance of the two, by sheet.</param>
    /// <param name="hasFar">Whether there is one.</param>
    /// <param name="tiny">Decides where a column has no lateral conductance at all.</param>
    public static (double[] Weight, double[] Reach) Weights(double[] near, double[] far, double[] vertical, double[] coarse, bool hasFar, double tiny)
    {
        double[] nearest = [.. near.Select(g => g + tiny)], both = [.. nearest.Zip(far, (a, b) => a + b + (hasFar ? tiny : 0))];
        double[] weight = hasFar ? [.. SolveColumn(both, vertical, nearest).Select(w => Math.Min(1, w))] : [.. near.Select(_ => 1.0)];
        return (weight, Reach(both, [.. near.Zip(far, (a, b) => a + b)], vertical, coarse));
    }

    /// <summary>Twin of <see cref="Coarsening.Galerkin"/>, for all coarse rows.</summary>
    public static void Galerkin(Level level, AlignedFloats[] sink, Conductances coarse)
    {
        var twin = new CoarseningTwins(level, coarse);
        // Those of the centre of four are made of those of its neighbours.
        twin.ForCells((x, y, s) => twin._share[twin.Cell(x, y, s)] = (x & y & 1) == 0 ? twin.OwnShare(x, y, s) : []);
        twin.ForCells((x, y, s) =>
        {
            if ((x & y & 1) != 0 && s == 0) twin.SetCentre(x, y);
        });
        twin.ForCells((x, y, s) =>
        {
            twin.AddSink(x, y, s, sink[Shape.ColorOf(x, y)].Pointer[twin.At(x, y, s)]);
            if (s + 1 < twin._shape.Sheets) twin.AddVertical(x, y, s, twin.VerticalReach(x, y)[s]);
            if (Shape.ColorOf(x, y) == 0) foreach (var (dx, dy) in (ReadOnlySpan<(int, int)>)[(1, 0), (-1, 0), (0, 1), (0, -1)]) twin.AddLateral(x, y, s, dx, dy);
        });
        for (var i = 0; i < coarse.East.Length; i++)
            (coarse.East[i], coarse.North[i], coarse.Below[i], coarse.ToSink[i]) = ((float)Math.Max(0, twin._east[i]), (float)Math.Max(0, twin._north[i]), (float)twin._below[i], (float)twin._toSink[i]);
    }

    /// <summary>The column's values that hold it in balance with <paramref name="inflow"/>, <paramref name="elsewhere"/> being all that its cells conduct sideways.</summary>
    private static double[] SolveColumn(double[] elsewhere, double[] vertical, double[] inflow)
    {
        double[] x = [.. inflow], multiplier = new double[x.Length];
        double fromAbove = 0, carry = 0;
        for (var s = 0; s < x.Length; s++)
        {
            var pivot = elsewhere[s] + fromAbove + vertical[s];
            multiplier[s] = pivot > 0 ? vertical[s] / pivot : 0;
            (x[s], carry) = (pivot > 0 ? (x[s] + carry) / pivot : 0, (x[s] + carry) * multiplier[s]);
            fromAbove = multiplier[s] * (elsewhere[s] + fromAbove);
        }

        for (var s = x.Length - 2; s >= 0; s--) x[s] += multiplier[s] * x[s + 1];
        return x;
    }

    /// <summary>Vertical conductances, each at most some times what the sheets above and below the cut can take, in series.</summary>
    private static double[] Reach(double[] above, double[] below, double[] vertical, double[] coarse)
    {
        double[] upper = new double[vertical.Length], lower = new double[vertical.Length];
        for (var s = 0; s < vertical.Length; s++) upper[s] = above[s] + (s > 0 ? InSeries(upper[s - 1], vertical[s - 1]) : 0);
        for (var s = vertical.Length - 2; s >= 0; s--) lower[s] = InSeries(lower[s + 1] + below[s + 1], vertical[s]);
        return [.. vertical.Select((v, s) => Math.Min(v, Math.Max(Coarsening.BarrelReach * InSeries(upper[s], lower[s]), coarse[s])))];
    }

    private static double InSeries(double a, double b) => a + b > 0 ? a * b / (a + b) : 0;

    private void ForCells(Action<int, int, int> action)
    {
        for (var y = 0; y < _shape.Rows; y++)
        {
            for (var x = 0; x < _shape.Columns; x++)
            {
                for (var s = 0; s < _shape.Sheets; s++) action(x, y, s);
            }
        }
    }

    private int Cell(int x, int y, int s) => (((s * _shape.Rows) + y) * _shape.Columns) + x;

    private int At(int x, int y, int s) => _shape.ColumnStart(x, y) + (s * _shape.Half);

    private double Weight(int x, int y, int s) => _level.Weight.Pointer[At(x, y, s)];

    private bool Has(int x, int y) => x >= 0 && y >= 0 && x < _shape.Columns && y < _shape.Rows;

    private double Lateral(int x, int y, int dx, int dy, int s) => Has(x + dx, y + dy) ? *_level.LateralPlace(x, y, dx, dy, s) : 0;

    private double[] Vertical(int x, int y) =>
        [.. Enumerable.Range(0, _shape.Sheets).Select(s => (double)_level.Multiplier[Shape.ColorOf(x, y)].Pointer[At(x, y, s)])];

    /// <summary>Of a coarse column, or of one between two.</summary>
    private double[] OwnShare(int x, int y, int s)
    {
        if (Shape.ColorOf(x, y) == 0) return [1, 0, 0, 0];
        var w = Weight(x, y, s);
        return (x & 1) != 0 ? [w, 1 - w, 0, 0] : [w, 0, 1 - w, 0];
    }

    private void SetCentre(int x, int y)
    {
        var total = Sideways(x, y);
        for (var s = 0; s < _shape.Sheets; s++) _share[Cell(x, y, s)] = new double[4];
        foreach (var (dx, dy, corner) in (ReadOnlySpan<(int, int, int)>)[(-1, 0, 0), (1, 0, 1), (0, -1, 0), (0, 1, 2)])
        {
            if (!Has(x + dx, y + dy)) continue;
            var part = SolveColumn(total, Vertical(x, y), [.. Enumerable.Range(0, _shape.Sheets).Select(s => Lateral(x, y, dx, dy, s))]);
            for (var s = 0; s < part.Length; s++)
            {
                var neighbour = _share[Cell(x + dx, y + dy, s)];
                for (var k = 0; corner + k < 4; k++) _share[Cell(x, y, s)][corner + k] += part[s] * neighbour[k];
            }
        }
    }

    private double[] Sideways(int x, int y) => [.. Enumerable.Range(0, _shape.Sheets).Select(s => Lateral(x, y, -1, 0, s) + Lateral(x, y, 1, 0, s) + Lateral(x, y, 0, -1, s) + Lateral(x, y, 0, 1, s))];

    /// <summary>Of black columns it is stored as the coarse network is to see it; of centres it is found here.</summary>
    private double[] VerticalReach(int x, int y)
    {
        var vertical = Vertical(x, y);
        if ((x & y & 1) == 0) return vertical;
        double[][] corners = [Vertical(x - 1, y - 1), Has(x + 1, y) ? Vertical(x + 1, y - 1) : [], Has(x, y + 1) ? Vertical(x - 1, y + 1) : [], Has(x + 1, y + 1) ? Vertical(x + 1, y + 1) : []];
        double[] coarse = [.. vertical.Select((_, s) => corners.Where(c => c.Length > 0).Max(c => c[s]))];
        return Reach(Sideways(x, y), Sideways(x, y), vertical, coarse);
    }

    private int Coarse(int x, int y, int s, int corner) => (s * _coarse.SheetStride) + (((y / 2) + (corner >> 1)) * _coarse.RowStride) + (x / 2) + (corner & 1);

    private void AddSink(int x, int y, int s, double g)
    {
        var share = _share[Cell(x, y, s)];
        for (var k = 0; k < 4; k++)
        {
            if (share[k] != 0) _toSink[Coarse(x, y, s, k)] += share[k] * g;
        }
    }

    /// <summary>Half by the shares above, half by those below; what these differ is a lateral conductance, half of either sheet.</summary>
    private void AddVertical(int x, int y, int s, double g)
    {
        double[] above = _share[Cell(x, y, s)], below = _share[Cell(x, y, s + 1)];
        for (var k = 0; k < 4; k++)
        {
            if (above[k] + below[k] != 0) _below[Coarse(x, y, s, k)] += 0.5 * g * (above[k] + below[k]);
        }

        double[] difference = [.. above.Zip(below, (a, b) => a - b)];
        AddEnergy(x, y, s, 0.5 * g, difference);
        AddEnergy(x, y, s + 1, 0.5 * g, difference);
    }

    /// <summary>From a red cell. The neighbour's shares are counted from the same four corners, those of the patch that both are in.</summary>
    private void AddLateral(int x, int y, int s, int dx, int dy)
    {
        var g = Lateral(x, y, dx, dy, s);
        if (g == 0) return;
        var isCentre = (x & 1) != 0;
        // The patch's south-western corner: the centre's own, else that of the black cell on the way to the next coarse one.
        int west = isCentre || dx >= 0 ? x / 2 * 2 : x - 2, south = isCentre || dy >= 0 ? y / 2 * 2 : y - 2;
        double[] Shares(int cx, int cy)
        {
            var own = _share[Cell(cx, cy, s)];
            int shift = ((cx / 2) - (west / 2)) + (2 * ((cy / 2) - (south / 2)));
            return [.. Enumerable.Range(0, 4).Select(k => k >= shift ? own[k - shift] : 0)];
        }

        AddEnergy(west, south, s, g, [.. Shares(x, y).Zip(Shares(x + dx, y + dy), (a, b) => a - b)]);
    }

    /// <summary>g (Σ d T)² over the corners of the patch of (x, y); what joins corners across counts half to each of the four sides.</summary>
    private void AddEnergy(int x, int y, int s, double g, double[] d)
    {
        var across = 0.5 * ((d[0] * d[3]) + (d[1] * d[2]));
        Add(_east, Coarse(x, y, s, 0), -g * ((d[0] * d[1]) + across));
        Add(_east, Coarse(x, y, s, 2), -g * ((d[2] * d[3]) + across));
        Add(_north, Coarse(x, y, s, 0), -g * ((d[0] * d[2]) + across));
        Add(_north, Coarse(x, y, s, 1), -g * ((d[1] * d[3]) + across));
    }

    private static void Add(double[] to, int at, double value)
    {
        if (value != 0) to[at] += value;
    }
}
