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
    private readonly int[] _start, _place;
    private readonly byte[] _color;
    private readonly Cell[] _cells;

    private ThinRuns(int half, int[] start, int[] place, byte[] color, Cell[] cells) => (_half, _start, _place, _color, _cells) = (half, start, place, color, cells);

    /// <summary>Cells in chains.</summary>
    public int Count => _place.Length;

    public int Chains => _start.Length - 1;

    /// <summary>Of a chain, in floats of a plain loop.</summary>
    private int Work => 1 + (16 * Count / Chains);

    /// <summary>Sets the red cells of all chains to the chains' own solution for a right-hand side, from zero elsewhere.</summary>
    /// <param name="redRhs">Null for zero.</param>
    /// <param name="blackRhs">All cells of that colour.</param>
    /// <param name="red">Values.</param>
    /// <param name="scratch">At least <see cref="Count"/>.</param>
    /// <param name="team">Threads.</param>
    public void SolveFromZero(float* redRhs, float* blackRhs, float* red, float[] scratch, ThreadTeam team) =>
        team.ForRows(Chains, Work, (from, to) => SolveFromZero(redRhs, blackRhs, red, scratch, from, to));

    /// <summary>Adds a share of the chains' own solution for a residual, the red cells' being zero, to the black cells.</summary>
    public void AddOwnSolution(float* residual, float share, float* black, float[] scratch, ThreadTeam team) =>
        team.ForRows(Chains, Work, (from, to) => AddOwnSolution(residual, share, black, scratch, from, to));

    /// <summary>Changes of the chains' cells that balance them, black columns being relaxed, red ones not; applied by <see cref="Apply"/>.</summary>
    public void SolveAtEnd(Level level, float* redRhs, float* red, float* black, float[] change, ThreadTeam team) =>
        team.ForRows(Chains, Work, (from, to) => SolveAtEnd(level, redRhs, red, black, change, from, to));

    /// <summary>Adds changes to the cells.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Apply(float* red, float* black, float[] change)
    {
        for (var k = 0; k < _place.Length; k++) (_color[k] == 1 ? black : red)[_place[k]] += change[k];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void AddOwnSolution(float* residual, float share, float* black, float[] scratch, int from, int to)
    {
        for (int k = _start[from], end = _start[to]; k < end; k++) scratch[k] = _color[k] == 1 ? share * residual[_place[k]] : 0;
        for (var run = from; run < to; run++) SolveChain(scratch, _start[run], _start[run + 1]);
        for (int k = _start[from], end = _start[to]; k < end; k++)
        {
            if (_color[k] == 1) black[_place[k]] += scratch[k];
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void SolveFromZero(float* redRhs, float* blackRhs, float* red, float[] scratch, int from, int to)
    {
        for (int k = _start[from], end = _start[to]; k < end; k++) scratch[k] = _color[k] == 1 ? blackRhs[_place[k]] : redRhs == null ? 0 : redRhs[_place[k]];
        for (var run = from; run < to; run++) SolveChain(scratch, _start[run], _start[run + 1]);
        for (int k = _start[from], end = _start[to]; k < end; k++)
        {
            if (_color[k] == 0) red[_place[k]] += scratch[k];
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void SolveAtEnd(Level level, float* redRhs, float* red, float* black, float[] change, int from, int to)
    {
        for (int k = _start[from], end = _start[to]; k < end; k++)
        {
            change[k] = 0;
            if (_color[k] == 1) continue;
            var i = _place[k];
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
    private void SolveChain(float[] x, int from, int to)
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
        var (found, order, start) = ChainFinder.Find(level, linked, team, pool);
        if (order.Length == 0) return null;
        // Read in the order of memory, which for chains across the rows is another one.
        var read = new Cell[found.Length];
        team.ForRows(found.Length, 16, (from, to) => Read(level, sink, found, read, from, to));
        var runs = new ThinRuns(level.Shape.Half, start, new int[order.Length], new byte[order.Length], new Cell[order.Length]);
        team.ForRows(runs.Chains, runs.Work, (from, to) => runs.Factor(level, found, order, read, from, to));
        return runs;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void Read(Level level, AlignedFloats[] sink, ChainFinder.Cell[] found, Cell[] read, int from, int to)
    {
        var shape = level.Shape;
        for (var k = from; k < to; k++)
        {
            var (color, i) = found[k];
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
    private void Factor(Level level, ChainFinder.Cell[] found, int[] order, Cell[] read, int from, int to)
    {
        for (var run = from; run < to; run++)
        {
            float carried = 0, behind = 0;
            for (int k = _start[run], end = _start[run + 1]; k < end; k++)
            {
                var own = found[order[k]];
                var cell = read[order[k]];
                var along = k + 1 < end ? ChainFinder.Between(level, own, found[order[k + 1]]) : 0;
                var elsewhere = Math.Max(0, cell.Diagonal - along - behind) + carried;
                var pivot = elsewhere + along;
                cell.Inverse = pivot > ColumnKernels.LeastPivot ? 1 / pivot : 0;
                cell.Multiplier = along * cell.Inverse;
                carried = cell.Multiplier * elsewhere;
                behind = along;
                (_place[k], _color[k], _cells[k]) = (own.Place, (byte)own.Color, cell);
            }
        }
    }

    private struct Cell
    {
        public float Up, Down, Diagonal, Inverse, Multiplier;
        public int Parity;
    }
}
