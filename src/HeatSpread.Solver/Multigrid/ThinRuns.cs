using System.Runtime.CompilerServices;
using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// Chains of cells one cell wide, such as parallel tracks: neighbouring ones may carry errors of opposite sign that no coarse grid holds, so each chain
/// is solved exactly as a line (Thomas' algorithm), first and last in every cycle. Chains follow bends and staircases.
/// </summary>
internal sealed unsafe class ThinRuns
{
    private readonly int _half;
    private readonly int[] _start;

    /// <summary>Of each cell where it is, then its factors; cells of a chain one behind the other.</summary>
    private readonly AlignedFloats _memory;
    private readonly ChainCell* _place;
    private readonly Factors* _cells;

    private ThinRuns(int half, int[] start, AlignedFloats memory)
    {
        (_half, _start, _memory, Count) = (half, start, memory, start[^1]);
        _cells = (Factors*)memory.Pointer;
        _place = (ChainCell*)(_cells + Count);
    }

    /// <summary>Cells in chains.</summary>
    public int Count { get; }

    public int Chains => _start.Length - 1;

    /// <summary>Of a chain, in floats of a plain loop: its cells are far apart, and each waits for the one before.</summary>
    private int Work => 1 + (int)Math.Min(int.MaxValue / 2, 64L * Count / Chains);

    /// <summary>Sets the red cells of all chains to the chains' own solution for a right-hand side, from zero elsewhere.</summary>
    /// <param name="redRhs">Null for zero.</param>
    /// <param name="blackRhs">All cells of that colour.</param>
    /// <param name="red">Values.</param>
    /// <param name="scratch">At least <see cref="Count"/>.</param>
    /// <param name="team">Threads.</param>
    public void SolveFromZero(float* redRhs, float* blackRhs, float* red, float* scratch, ThreadTeam team) =>
        team.ForRows(Chains, Work, (from, to) => SolveFromZero(redRhs, blackRhs, red, scratch, from, to));

    /// <summary>Adds a share of the chains' own solution for a residual, the red cells' being zero, to the black cells.</summary>
    public void AddOwnSolution(float* residual, float share, float* black, float* scratch, ThreadTeam team) =>
        team.ForRows(Chains, Work, (from, to) => AddOwnSolution(residual, share, black, scratch, from, to));

    /// <summary>Changes of the chains' cells that balance them, black columns being relaxed, red ones not; applied by <see cref="Apply"/>.</summary>
    public void SolveAtEnd(Level level, float* redRhs, float* red, float* black, float* change, ThreadTeam team) =>
        team.ForRows(Chains, Work, (from, to) => SolveAtEnd(level, redRhs, red, black, change, from, to));

    /// <summary>Adds changes to the cells.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Apply(float* red, float* black, float* change)
    {
        for (var k = 0; k < Count; k++) (_place[k].Color == 1 ? black : red)[_place[k].Place] += change[k];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AddOwnSolution(float* residual, float share, float* black, float* scratch, int from, int to)
    {
        for (int k = _start[from], end = _start[to]; k < end; k++) scratch[k] = _place[k].Color == 1 ? share * residual[_place[k].Place] : 0;
        for (var run = from; run < to; run++) SolveChain(scratch, _start[run], _start[run + 1]);
        for (int k = _start[from], end = _start[to]; k < end; k++)
        {
            if (_place[k].Color == 1) black[_place[k].Place] += scratch[k];
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void SolveFromZero(float* redRhs, float* blackRhs, float* red, float* scratch, int from, int to)
    {
        for (int k = _start[from], end = _start[to]; k < end; k++) scratch[k] = _place[k].Color == 1 ? blackRhs[_place[k].Place] : redRhs == null ? 0 : redRhs[_place[k].Place];
        for (var run = from; run < to; run++) SolveChain(scratch, _start[run], _start[run + 1]);
        for (int k = _start[from], end = _start[to]; k < end; k++)
        {
            if (_place[k].Color == 0) red[_place[k].Place] += scratch[k];
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void SolveAtEnd(Level level, float* redRhs, float* red, float* black, float* change, int from, int to)
    {
        for (int k = _start[from], end = _start[to]; k < end; k++)
        {
            change[k] = 0;
            if (_place[k].Color == 1) continue;
            var i = _place[k].Place;
            ref readonly var c = ref _cells[k];
            var west = i - 1 + c.Parity;
            var sum = (c.Up * red[i - _half]) + (c.Down * red[i + _half]) - (c.Diagonal * red[i])
                + (level.West.Pointer[i] * black[west]) + (level.East.Pointer[i] * black[west + 1])
                + (level.North.Pointer[i] * black[i + level.Shape.RowStride]) + (level.South.Pointer[i] * black[i - level.Shape.RowStride]);
            change[k] = redRhs == null ? sum : sum + redRhs[i];
        }

        for (var run = from; run < to; run++) SolveChain(change, _start[run], _start[run + 1]);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void SolveChain(float* x, int from, int to)
    {
        var carry = 0f;
        for (var k = from; k < to; k++)
        {
            x[k] += carry;
            carry = x[k] * _cells[k].Multiplier;
        }

        var next = 0f;
        for (var k = to - 1; k >= from; k--) x[k] = next = (x[k] * _cells[k].Inverse) + (_cells[k].Multiplier * next);
    }

    /// <summary>Finds the chains of a level that holds vertical conductances still.</summary>
    /// <param name="level">The level.</param>
    /// <param name="sink">Its conductances to the sink by colour.</param>
    /// <param name="linked">Links of nodes, whose columns are left out.</param>
    /// <param name="team">Threads.</param>
    /// <param name="pool">Scratch.</param>
    public static ThinRuns? Find(Level level, AlignedFloats[] sink, ColumnLinks linked, ThreadTeam team, ScratchPool pool)
    {
        using var chains = ChainFinder.Find(level, linked, team, pool);
        if (chains.Start[^1] == 0) return null;
        // Read in the order of memory, which for chains across the rows is another one.
        var memory = pool.RentAny(chains.Count * Factors.Floats);
        team.ForRows(chains.Count, 16, (from, to) => Read(level, sink, chains.Cells, (Factors*)memory.Pointer, from, to));
        var runs = new ThinRuns(level.Shape.Half, chains.Start, pool.RentAny(chains.Start[^1] * (Factors.Floats + 1)));
        team.ForRows(runs.Chains, runs.Work, (from, to) => runs.Factor(level, chains, (Factors*)memory.Pointer, from, to));
        pool.Return(memory);
        return runs;
    }

    /// <summary>Gives the memory back; the runs are of no use afterwards.</summary>
    public void Return(ScratchPool pool) => pool.Return(_memory);

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Read(Level level, AlignedFloats[] sink, ChainCell* found, Factors* read, int from, int to)
    {
        var shape = level.Shape;
        for (var k = from; k < to; k++)
        {
            var (color, i) = (found[k].Color, found[k].Place);
            int row = ((i - Shape.Lanes) / shape.RowStride) - 1, at = i - shape.RowStart(row), sheet = at / shape.Half;
            var n = level.Row(color, row, null);
            var vertical = level.Multiplier[color].Pointer;
            float up = sheet > 0 ? vertical[i - shape.Half] : 0, down = sheet + 1 < shape.Sheets ? vertical[i] : 0;
            var diagonal = n.West[at] + n.East[at] + n.North[at] + n.South[at] + up + down + sink[color].Pointer[i];
            read[k] = new() { Up = up, Down = down, Diagonal = diagonal, Parity = Shape.Parity(color, row) };
        }
    }

    /// <summary>Factors of the chains' tridiagonal matrices, from sums of positive numbers alone as for the columns.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Factor(Level level, Chains chains, Factors* read, int from, int to)
    {
        for (var run = from; run < to; run++)
        {
            float carried = 0, behind = 0;
            for (int k = _start[run], end = _start[run + 1]; k < end; k++)
            {
                var own = chains.Cells[chains.Order[k]];
                var cell = read[chains.Order[k]];
                var along = k + 1 < end ? ChainFinder.Between(level, own, chains.Cells[chains.Order[k + 1]]) : 0;
                var elsewhere = Math.Max(0, cell.Diagonal - along - behind) + carried;
                var pivot = elsewhere + along;
                cell.Inverse = pivot > ColumnKernels.LeastPivot ? 1 / pivot : 0;
                cell.Multiplier = along * cell.Inverse;
                carried = cell.Multiplier * elsewhere;
                behind = along;
                (_place[k], _cells[k]) = (own, cell);
            }
        }
    }

    private struct Factors
    {
        /// <summary>That one takes.</summary>
        public const int Floats = 6;

        public float Up, Down, Diagonal, Inverse, Multiplier;
        public int Parity;
    }
}
