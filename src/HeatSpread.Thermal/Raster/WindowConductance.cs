using System.Numerics;

namespace HeatSpread.Thermal.Raster;

/// <summary>
/// Conductance between the centres of two cells from what lies between them. Copper counts only along unbroken ways from the one cell's main
/// piece to the other's, found by solving the network of fine points between them; what is not copper counts by its length along each
/// fine row. One object serves one thread.
/// </summary>
internal sealed class WindowConductance
{
    private const int N = RowScanner.Fine;
    private const ulong FirstColumn = 0x0101010101010101;

    private readonly double _fillOverCopper;

    // Band matrix of at most 64 unknowns: [unknown * (N + 1) + distance below the diagonal].
    private readonly double[] _band = new double[N * N * (N + 1)];
    private readonly double[] _heat = new double[N * N];
    private readonly double[] _start = new double[N * N];
    private readonly int[] _number = new int[N * N];

    /// <param name="fillOverCopper">Conductivity of the fill over that of the copper.</param>
    public WindowConductance(double fillOverCopper) => _fillOverCopper = fillOverCopper;

    /// <param name="window">What lies between.</param>
    /// <param name="aspect">Width of the way over its length, of one cell.</param>
    /// <returns>Copper as a share of a whole sheet's conductance, fill as a multiple of a whole sheet of fill.</returns>
    public (float Copper, float Fill) Of(in Window window, double aspect)
    {
        if (window.Cells is { First: 0, Second: 0 }) return (0, 1);
        if (window.Copper == ulong.MaxValue && (window.Along | (FirstColumn << 7)) == ulong.MaxValue && window.From != 0 && window.To != 0
            && window.AreaRatio > 0.9999 && (window.From | window.To) == ulong.MaxValue)
        {
            return (1, 0);
        }
        return ((float)Copper(window, aspect), (float)Fill(window, aspect));
    }

    /// <summary>
    /// Row by row, in parallel: the way from the one main piece to the other's nearest point, which may lie beyond the cells' centres; what is not
    /// copper on it carries the drop. A row that holds nothing of a piece starts from the nearest row that does, and the way there counts. Rows that are
    /// copper all the way are <see cref="Copper"/>'s.
    /// </summary>
    private double Fill(in Window window, double aspect)
    {
        double sum = 0;
        for (int row = 0; row < N; row++)
        {
            int near = NearestRow(window.Pieces.First, row), far = NearestRow(window.Pieces.Second, row);
            uint copper = Row(window.Cells.First, row) | (Row(window.Cells.Second, row) << N);
            int from = near < 0 ? N / 2 - 1 : 31 - BitOperations.LeadingZeroCount(Row(window.Pieces.First, near));
            int to = far < 0 ? N + N / 2 : N + BitOperations.TrailingZeroCount(Row(window.Pieces.Second, far));
            uint between = ((1u << to) - 1) & ~((2u << from) - 1);
            double length = BitOperations.PopCount(between & ~copper) * window.FillRatio;
            // From a centre, which lies between points, it is half a length to the next point.
            if (near < 0) length += 0.5;
            if (far < 0) length += 0.5;
            if (near < 0 && far < 0) length = N;
            double aside = aspect * ((near < 0 ? 0 : Math.Abs(near - row)) + (far < 0 ? 0 : Math.Abs(far - row)));
            uint links = Row(window.Links.First, row) | (Row(window.Links.Second, row) << N), way = ((1u << to) - 1) & ~((1u << from) - 1);
            if (length == 0 && aside == 0 && (links & way) == way) continue;
            length = Math.Max(length + aside, 0.25);
            sum += 1 / (length + Math.Max(N - length, 0) * _fillOverCopper);
        }
        return sum;
    }

    /// <summary>The row of a piece that is nearest to a row; -1 for no piece.</summary>
    private static int NearestRow(ulong piece, int row)
    {
        if (piece == 0) return -1;
        for (int distance = 0; ; distance++)
        {
            if (row >= distance && Row(piece, row - distance) != 0) return row - distance;
            if (row + distance < N && Row(piece, row + distance) != 0) return row + distance;
        }
    }

    private static uint Row(ulong points, int row) => (byte)(points >> (N * row));

    private double Copper(in Window window, double aspect)
    {
        ulong from = Electrode(window.From & window.Copper, FirstColumnOf(window.Pieces.First)), to = Electrode(window.To & window.Copper, LastColumnOf(window.Pieces.Second));
        if (from == 0 || to == 0) return 0;
        ulong reached = CopperPiece.Flood(from, window.Along, window.Across);
        if ((reached & to) == 0) return 0;
        ulong straight = StraightRows(window, from, to);
        double share = straight == reached ? BitOperations.PopCount(straight & FirstColumn) / (double)N : Solve(window, reached, from, to & reached, aspect);
        return Math.Min(share * window.AreaRatio, 1);
    }

    /// <summary>The points of a piece in a window's column, or in the nearest column that has some.</summary>
    private static ulong Electrode(ulong piece, int column)
    {
        if (piece == 0) return 0;
        for (int distance = 0; ; distance++)
        {
            ulong left = column >= distance ? piece & (FirstColumn << (column - distance)) : 0;
            if (left != 0) return left;
            ulong right = column + distance < N ? piece & (FirstColumn << (column + distance)) : 0;
            if (right != 0) return right;
        }
    }

    /// <summary>
    /// The window's column where the way from the first cell's piece begins: next after the piece's mean place, for that is what its temperature
    /// stands for. A track that only cuts the corner of a cell is left where it was entered, not after a way to the cell's centre and back.
    /// </summary>
    private static int FirstColumnOf(ulong piece) => Math.Clamp((int)Math.Round(MeanColumn(piece) + 0.5), N / 2, N - 1) - N / 2;

    /// <summary>As <see cref="FirstColumnOf"/>, where the way to the second cell's piece ends.</summary>
    private static int LastColumnOf(ulong piece) => Math.Clamp((int)Math.Round(MeanColumn(piece) - 0.5), 0, N / 2 - 1) + N / 2;

    private static double MeanColumn(ulong piece)
    {
        int points = 0, moment = 0;
        for (int column = 0; column < N; column++)
        {
            int count = BitOperations.PopCount(piece & (FirstColumn << column));
            points += count;
            moment += count * column;
        }
        return points == 0 ? (N - 1) / 2.0 : (double)moment / points;
    }

    private static ulong StraightRows(in Window window, ulong from, ulong to)
    {
        ulong rows = 0;
        for (int row = 0; row < N; row++)
        {
            bool open = ((window.Along >> (N * row)) & 0x7F) == 0x7F;
            if (open && (from >> (N * row) & 1) != 0 && (to >> (N * row + N - 1) & 1) != 0) rows |= 0xFFUL << (N * row);
        }
        return rows;
    }

    /// <summary>
    /// One kelvin between the electrodes; the heat that flows is the conductance. Links along the way have conductance 1 and half a link lies
    /// between an electrode and its points, so that a whole sheet gives 1. Band Cholesky (Golub and Van Loan, Matrix Computations, section 4.3.5).
    /// </summary>
    private double Solve(in Window window, ulong reached, ulong from, ulong to, double aspect)
    {
        // Fine links: length 1/8 of the way, width 1/8 of the way's width.
        double along = 1, across = 1 / (aspect * aspect);
        int count = Number(reached);
        Array.Clear(_band, 0, count * (N + 1));
        for (int column = 0; column < N; column++)
        {
            for (int row = 0; row < N; row++)
            {
                ulong bit = 1UL << (N * row + column);
                if ((reached & bit) == 0) continue;
                int self = _number[N * column + row];
                if (column < N - 1 && (window.Along & bit) != 0) Link(self, _number[N * (column + 1) + row], along);
                if (row < N - 1 && (window.Across & bit) != 0) Link(self, _number[N * column + row + 1], across);
                double source = (from & bit) != 0 ? 2 * along : 0;
                _heat[self] = _start[self] = source;
                _band[self * (N + 1)] += source + ((to & bit) != 0 ? 2 * along : 0);
            }
        }
        SolveBand(count);
        double flow = 0;
        for (int i = 0; i < count; i++) flow += _start[i] * (1 - _heat[i]);
        return flow;
    }

    /// <summary>Numbers the reached points column by column, so that neighbours are at most 8 apart.</summary>
    private int Number(ulong reached)
    {
        int count = 0;
        for (int column = 0; column < N; column++)
        {
            for (int row = 0; row < N; row++)
            {
                if ((reached >> (N * row + column) & 1) != 0) _number[N * column + row] = count++;
            }
        }
        return count;
    }

    private void Link(int lower, int upper, double conductance)
    {
        _band[lower * (N + 1)] += conductance;
        _band[upper * (N + 1)] += conductance;
        _band[upper * (N + 1) + upper - lower] -= conductance;
    }

    private void SolveBand(int count)
    {
        for (int i = 0; i < count; i++)
        {
            int first = Math.Max(0, i - N);
            for (int j = first; j <= i; j++)
            {
                double sum = _band[i * (N + 1) + i - j];
                for (int k = Math.Max(first, j - N); k < j; k++) sum -= _band[i * (N + 1) + i - k] * _band[j * (N + 1) + j - k];
                _band[i * (N + 1) + i - j] = i == j ? Math.Sqrt(sum) : sum / _band[j * (N + 1)];
            }
            double right = _heat[i];
            for (int k = first; k < i; k++) right -= _band[i * (N + 1) + i - k] * _heat[k];
            _heat[i] = right / _band[i * (N + 1)];
        }
        for (int i = count - 1; i >= 0; i--)
        {
            double right = _heat[i];
            for (int k = i + 1; k < Math.Min(count, i + N + 1); k++) right -= _band[k * (N + 1) + k - i] * _heat[k];
            _heat[i] = right / _band[i * (N + 1)];
        }
    }
}
