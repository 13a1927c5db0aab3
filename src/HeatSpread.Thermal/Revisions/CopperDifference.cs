using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Revisions;

/// <summary>What was taken from the copper of one layer and what was put there, by shape and net.</summary>
/// <param name="Window">Beyond it both revisions are drawn alike.</param>
/// <param name="Kept">The copper that both revisions have, of the same net.</param>
/// <param name="Removed">Pieces that the baseline has beyond it.</param>
/// <param name="Added">Pieces that the candidate has beyond it.</param>
internal sealed record CopperDifference(GridWindow Window, LayerRaster Kept, CopperPieces Removed, CopperPieces Added)
{
    /// <summary>Null where the layer is the same in both.</summary>
    /// <param name="baseline">Its copper and rows, within the candidate's outline.</param>
    /// <param name="before">Its raster.</param>
    /// <param name="layer">Of the baseline.</param>
    /// <param name="candidate">Its copper; nets are numbered as the baseline's.</param>
    /// <param name="after">Its raster, in the same grid.</param>
    /// <param name="candidateLayer">The layer of the same name.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public static CopperDifference? Of(Board baseline, CopperRaster before, int layer, Board candidate, CopperRaster after, int candidateLayer, CancellationToken cancellationToken)
    {
        if (AreSame(before.Layers[layer], after.Layers[candidateLayer]) || CopperRaster.Difference(baseline, layer, candidate, candidateLayer) is not { } changed) return null;
        var window = new RedrawnWindow(before, baseline, changed);
        RowIndex first = window.Index(baseline, layer), second = window.Index(candidate, candidateLayer);
        var options = new ParallelOptions { CancellationToken = cancellationToken };
        LayerRaster? kept = null;
        CopperPieces? removed = null, added = null;
        Parallel.Invoke(
            options,
            () => kept = window.Draw(before.Layers[layer], window.Shared(first, second, cancellationToken), baseline.Rows[baseline.Layers[layer].Row], cancellationToken),
            () => removed = CopperPieces.Of(window.Beyond(first, second, cancellationToken), window.Window),
            () => added = CopperPieces.Of(window.Beyond(second, first, cancellationToken), window.Window));
        return new(window.Window, kept!, removed!, added!);
    }

    private static bool AreSame(LayerRaster first, LayerRaster second)
    {
        static bool Same(float[] a, float[] b) => a.AsSpan().SequenceEqual(b);
        return Same(first.CopperShare, second.CopperShare) && Same(first.MainShare, second.MainShare)
            && Same(first.CopperEast, second.CopperEast) && Same(first.CopperNorth, second.CopperNorth)
            && Same(first.FillEast, second.FillEast) && Same(first.FillNorth, second.FillNorth);
    }
}

/// <summary>Connected pieces of copper of one net each, in cells.</summary>
internal sealed class CopperPieces
{
    /// <summary>Less of a cell is left out: sums that do not quite cancel where an edge is the same in both.</summary>
    private const float LeastShare = 1e-4f;

    private readonly List<(int Net, List<(int Cell, ulong Fine)> Cells, double Area)> _pieces = [];

    private CopperPieces(int cells)
    {
        Label = new int[cells];
        Array.Fill(Label, -1);
    }

    /// <summary>The piece in each cell, -1 for none.</summary>
    public int[] Label { get; }

    public int Count => _pieces.Count;

    public (int Net, List<(int Cell, ulong Fine)> Cells, double Area) this[int piece] => _pieces[piece];

    /// <param name="pattern">Of a window.</param>
    /// <param name="window">Of the grid whose cells are told.</param>
    public static CopperPieces Of(FinePattern pattern, GridWindow window)
    {
        var pieces = new CopperPieces(window.Grid.CellCount);
        // Slivers between fine points have no owner of their own: they go with the piece beside them, and the lone ones come last.
        foreach (bool slivers in (ReadOnlySpan<bool>)[false, true])
        {
            for (int start = 0; start < window.Cells.CellCount; start++)
            {
                if (pattern.Share[start] >= LeastShare && (pattern.Copper[start] != 0 || slivers) && pieces.Label[window.InGrid(start)] < 0) pieces.Collect(pattern, window, start);
            }
        }
        return pieces;
    }

    private void Collect(FinePattern pattern, GridWindow window, int start)
    {
        var grid = window.Cells;
        int label = _pieces.Count, net = pattern.Owner[start];
        var cells = new List<(int Cell, ulong Fine)>();
        var waiting = new Stack<int>([start]);
        double shares = 0;
        Label[window.InGrid(start)] = label;
        while (waiting.TryPop(out int cell))
        {
            cells.Add((window.InGrid(cell), pattern.Copper[cell]));
            shares += pattern.Share[cell];
            int column = cell % grid.Columns, row = cell / grid.Columns;
            for (int r = Math.Max(0, row - 1); r <= Math.Min(grid.Rows - 1, row + 1); r++)
            {
                for (int c = Math.Max(0, column - 1); c <= Math.Min(grid.Columns - 1, column + 1); c++)
                {
                    int neighbour = r * grid.Columns + c;
                    if (pattern.Share[neighbour] < LeastShare || Label[window.InGrid(neighbour)] >= 0) continue;
                    if (pattern.Owner[neighbour] != net && pattern.Copper[neighbour] != 0) continue;
                    Label[window.InGrid(neighbour)] = label;
                    waiting.Push(neighbour);
                }
            }
        }
        _pieces.Add((net, cells, shares * grid.CellArea));
    }
}
