using System.Numerics;
using System.Runtime.Intrinsics;

namespace HeatSpread.Thermal.Raster;

/// <summary>
/// Conductance between the centres of two cells from what lies between them. Copper counts only along unbroken ways from the one cell's main
/// piece to the other's: by the open length of the common side, or where a piece has a neck by solving the network of fine points between the two; what is not
/// copper counts by its length along each fine row. One object serves one thread.
/// </summary>
internal sealed class WindowConductance
{
    private const int N = RowScanner.Fine;
    private const int Columns = 2 * N;

    /// <summary>Least distance between an electrode and the points beside it, in fine lengths.</summary>
    private const double LeastStep = 0.02;

    private static readonly UInt128 AllButLastColumn = new(0x7FFF7FFF7FFF7FFF, 0x7FFF7FFF7FFF7FFF);

    private readonly double _fillOverCopper;

    /// <summary>Of one column of the band.</summary>
    private const int Stride = N + 1;

    // Band matrix of at most 128 unknowns, and a band's width of zeros behind them: [unknown * Stride + distance below the diagonal].
    private readonly double[] _band = new double[(Columns + 1) * N * Stride];
    private readonly double[] _heat = new double[(Columns + 1) * N];
    private readonly double[] _start = new double[Columns * N];
    private readonly int[] _number = new int[Columns * N];

    /// <param name="fillOverCopper">Conductivity of the fill over that of the copper.</param>
    public WindowConductance(double fillOverCopper) => _fillOverCopper = fillOverCopper;

    /// <param name="window">What lies between.</param>
    /// <param name="aspect">Width of the way over its length, of one cell.</param>
    /// <returns>Copper as a share of a whole sheet's conductance, fill as a multiple of a whole sheet of fill.</returns>
    public (float Copper, float Fill) Of(in Window window, double aspect) =>
        ((float)(window.IsPlain ? Aperture(window) : Copper(window, aspect)), (float)Fill(window, aspect));

    /// <summary>
    /// Between pieces without necks it is the open length of the common side that counts: a flow along a straight edge of copper, at any angle, is
    /// then exact, as each cell's sides and its edge balance (the cut-cell finite volume; Ye, Mittal, Udaykumar, Shyy, J. Comput. Phys. 156, 1999, 209).
    /// </summary>
    private static double Aperture(in Window window)
    {
        UInt128 side = ColumnsBetween(N - 1, N - 1) & window.Along;
        double all = (double)UInt128.PopCount(side), between = (double)UInt128.PopCount(side & window.From & (window.To >> 1));
        return all == 0 ? 0 : window.Side * between / all;
    }

    /// <summary>
    /// Row by row, in parallel: the way from the one main piece to the other's nearest point; what is not copper on it carries the drop. A row that holds
    /// nothing of a piece starts from the nearest row that does, and the way there counts. Rows that are copper all the way are <see cref="Copper"/>'s.
    /// </summary>
    private double Fill(in Window window, double aspect)
    {
        double sum = 0;
        for (int row = 0; row < N; row++)
        {
            int near = NearestRow(window.From, row), far = NearestRow(window.To, row);
            int from = near < 0 ? N / 2 - 1 : 31 - BitOperations.LeadingZeroCount(Window.Row(window.From, near));
            int to = far < 0 ? N + N / 2 : BitOperations.TrailingZeroCount(Window.Row(window.To, far));
            uint between = ((1u << to) - 1) & ~((2u << from) - 1);
            double length = BitOperations.PopCount(between & ~Window.Row(window.Copper, row)) * window.FillRatio;
            if (near < 0 && far < 0) length = N;
            double aside = aspect * ((near < 0 ? 0 : Math.Abs(near - row)) + (far < 0 ? 0 : Math.Abs(far - row)));
            uint way = ((1u << to) - 1) & ~((1u << from) - 1);
            if (length == 0 && aside == 0 && (Window.Row(window.Along, row) & way) == way) continue;
            length = Math.Max(length + aside, 0.25);
            sum += 1 / (length + Math.Max(N - length, 0) * _fillOverCopper);
        }
        return sum;
    }

    /// <summary>The row of a piece that is nearest to a row; -1 for no piece.</summary>
    private static int NearestRow(UInt128 piece, int row)
    {
        if (piece == UInt128.Zero) return -1;
        for (int distance = 0; ; distance++)
        {
            if (row >= distance && Window.Row(piece, row - distance) != 0) return row - distance;
            if (row + distance < N && Window.Row(piece, row + distance) != 0) return row + distance;
        }
    }

    /// <summary>From the middle of the one piece to that of the other; only what lies between the two lines takes part.</summary>
    private double Copper(in Window window, double aspect)
    {
        if (window.From == UInt128.Zero || window.To == UInt128.Zero) return 0;
        // Fine points stand at column + 1/2.
        int first = (int)Math.Ceiling(window.FromAt - 0.5), last = (int)Math.Floor(window.ToAt - 0.5);
        var between = ColumnsBetween(first, last);
        UInt128 from = window.From & ColumnsBetween(first, first), to = window.To & ColumnsBetween(last, last);
        var reached = Flood(from, window.Along & ColumnsBetween(first, last - 1), window.Across & between);
        if ((reached & to) == UInt128.Zero) return 0;
        var straight = StraightRows(window, from, to, first, last);
        double share = straight == reached
            ? (double)UInt128.PopCount(straight & from) / (window.ToAt - window.FromAt)
            : Solve(window, reached, from, to & reached, first, last, aspect);
        return share * window.CopperRatio;
    }

    private static UInt128 ColumnsBetween(int first, int last)
    {
        uint row = ((2u << last) - 1) & ~((1u << first) - 1);
        ulong half = row * 0x0001000100010001UL;
        return new(half, half);
    }

    private static UInt128 Flood(UInt128 seeds, UInt128 along, UInt128 across)
    {
        UInt128 way = along & AllButLastColumn, reached = seeds;
        while (true)
        {
            var grown = reached | ((reached & way) << 1) | ((reached >> 1) & way) | ((reached & across) << Columns) | ((reached >> Columns) & across);
            if (grown == reached) return reached;
            reached = grown;
        }
    }

    private static UInt128 StraightRows(in Window window, UInt128 from, UInt128 to, int first, int last)
    {
        uint way = ((1u << last) - 1) & ~((1u << first) - 1);
        var rows = UInt128.Zero;
        for (int row = 0; row < N; row++)
        {
            bool whole = (Window.Row(window.Along, row) & way) == way && Window.Row(from, row) != 0 && Window.Row(to, row) != 0;
            if (whole) rows |= (UInt128)(way | (1u << last)) << (Columns * row);
        }
        return rows;
    }

    /// <summary>
    /// One kelvin between the electrodes; the heat that flows is the conductance, scaled so that a whole sheet gives 1. Band Cholesky (Golub and Van
    /// Loan, Matrix Computations, section 4.3.5).
    /// </summary>
    private double Solve(in Window window, UInt128 reached, UInt128 from, UInt128 to, int first, int last, double aspect)
    {
        // Fine links: length 1/8 of the way, width 1/8 of the way's width.
        double along = 1, across = 1 / (aspect * aspect);
        double enter = along / Math.Max(first + 0.5 - window.FromAt, LeastStep), leave = along / Math.Max(window.ToAt - last - 0.5, LeastStep);
        int count = Number(reached, first, last);
        Array.Clear(_band, 0, (count + N) * Stride);
        for (int column = first; column <= last; column++)
        {
            for (int row = 0; row < N; row++)
            {
                uint bit = 1u << column;
                if ((Window.Row(reached, row) & bit) == 0) continue;
                int self = _number[N * column + row];
                if (column < last && (Window.Row(window.Along, row) & bit) != 0) Link(self, _number[N * (column + 1) + row], along);
                if (row < N - 1 && (Window.Row(window.Across, row) & bit) != 0) Link(self, _number[N * column + row + 1], across);
                double source = (Window.Row(from, row) & bit) != 0 ? enter : 0;
                _heat[self] = _start[self] = source;
                _band[self * Stride] += source + ((Window.Row(to, row) & bit) != 0 ? leave : 0);
            }
        }
        SolveBand(count);
        double flow = 0;
        for (int i = 0; i < count; i++) flow += _start[i] * (1 - _heat[i]);
        return flow;
    }

    /// <summary>Numbers the reached points column by column, so that neighbours are at most 8 apart.</summary>
    private int Number(UInt128 reached, int first, int last)
    {
        int count = 0;
        for (int column = first; column <= last; column++)
        {
            for (int row = 0; row < N; row++)
            {
                if ((Window.Row(reached, row) >> column & 1) != 0) _number[N * column + row] = count++;
            }
        }
        return count;
    }

    private void Link(int lower, int upper, double conductance)
    {
        _band[lower * Stride] += conductance;
        _band[upper * Stride] += conductance;
        _band[lower * Stride + upper - lower] -= conductance;
    }

    /// <summary>Factors the band and solves for the heat in its place; column by column, each taken off those to its right as whole vectors.</summary>
    private void SolveBand(int count)
    {
        Span<double> factor = stackalloc double[2 * N + 1];
        factor.Clear();
        Array.Clear(_heat, count, N);
        for (int j = 0; j < count; j++)
        {
            var column = _band.AsSpan(j * Stride, N + 1);
            double scale = 1 / Math.Sqrt(column[0]);
            (Vector512.Create<double>(column) * scale).CopyTo(column);
            column[N] *= scale;
            column.CopyTo(factor);
            for (int k = 1; k <= N; k++) Subtract(_band.AsSpan((j + k) * Stride, N), factor[k], factor.Slice(k, N));
            // The diagonal's inverse is kept in its place.
            column[0] = scale;
            _heat[j] *= scale;
            Subtract(_heat.AsSpan(j + 1, N), _heat[j], factor.Slice(1, N));
        }
        for (int j = count - 1; j >= 0; j--)
        {
            double known = Vector512.Dot(Vector512.Create<double>(_band.AsSpan(j * Stride + 1, N)), Vector512.Create<double>(_heat.AsSpan(j + 1, N)));
            _heat[j] = (_heat[j] - known) * _band[j * Stride];
        }
    }

    private static void Subtract(Span<double> from, double times, ReadOnlySpan<double> values) =>
        (Vector512.Create<double>(from) - times * Vector512.Create(values)).CopyTo(from);
}
