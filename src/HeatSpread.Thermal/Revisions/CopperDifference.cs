using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Revisions;

/// <summary>What was taken from the copper of one layer and what was put there, by shape and net.</summary>
/// <param name="Kept">The copper that both revisions have, of the same net.</param>
/// <param name="Removed">Pieces that the baseline has beyond it.</param>
/// <param name="Added">Pieces that the candidate has beyond it.</param>
internal sealed record CopperDifference(LayerRaster Kept, CopperPieces Removed, CopperPieces Added)
{
    /// <summary>Null where the layer is the same in both.</summary>
    /// <param name="baseline">Its copper and rows.</param>
    /// <param name="before">Raster of the baseline's layer within the candidate's outline.</param>
    /// <param name="layer">Of the baseline.</param>
    /// <param name="candidate">Its copper; nets are numbered as the baseline's.</param>
    /// <param name="after">Raster of the candidate.</param>
    /// <param name="candidateLayer">The layer of the same name.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public static CopperDifference? Of(Board baseline, LayerRaster before, int layer, Board candidate, CopperRaster after, int candidateLayer, CancellationToken cancellationToken)
    {
        if (AreSame(before, after.Layers[candidateLayer])) return null;
        var grid = after.Grid;
        var outline = new RowIndex(PaintProgram.ForRegion(candidate.Outline), grid);
        RowIndex first = new(PaintProgram.ForLayer(baseline, layer), grid), second = new(PaintProgram.ForLayer(candidate, candidateLayer), grid);
        FinePattern Scan(RowIndex paint, RowIndex other, bool shared) => FinePattern.Scan(paint, outline, grid, cancellationToken, selection: new PaintSelection(other, shared));
        var row = baseline.Rows[baseline.Layers[layer].Row];
        var kept = LayerRaster.From(Scan(first, second, shared: true), grid, after.BoardShareArray, row.Fill.InPlane / row.CopperConductivity, cancellationToken);
        return new(kept, CopperPieces.Of(Scan(first, second, shared: false), grid), CopperPieces.Of(Scan(second, first, shared: false), grid));
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

    public static CopperPieces Of(FinePattern pattern, BoardGrid grid)
    {
        var pieces = new CopperPieces(grid.CellCount);
        // Slivers between fine points have no owner of their own: they go with the piece beside them, and the lone ones come last.
        foreach (bool slivers in (ReadOnlySpan<bool>)[false, true])
        {
            for (int start = 0; start < grid.CellCount; start++)
            {
                if (pieces.Label[start] < 0 && pattern.Share[start] >= LeastShare && (pattern.Copper[start] != 0 || slivers)) pieces.Collect(pattern, grid, start);
            }
        }
        return pieces;
    }

    private void Collect(FinePattern pattern, BoardGrid grid, int start)
    {
        int label = _pieces.Count, net = pattern.Owner[start];
        var cells = new List<(int Cell, ulong Fine)>();
        var waiting = new Stack<int>([start]);
        double shares = 0;
        Label[start] = label;
        while (waiting.TryPop(out int cell))
        {
            cells.Add((cell, pattern.Copper[cell]));
            shares += pattern.Share[cell];
            int column = cell % grid.Columns, row = cell / grid.Columns;
            for (int r = Math.Max(0, row - 1); r <= Math.Min(grid.Rows - 1, row + 1); r++)
            {
                for (int c = Math.Max(0, column - 1); c <= Math.Min(grid.Columns - 1, column + 1); c++)
                {
                    int neighbour = r * grid.Columns + c;
                    if (Label[neighbour] >= 0 || pattern.Share[neighbour] < LeastShare) continue;
                    if (pattern.Owner[neighbour] != net && pattern.Copper[neighbour] != 0) continue;
                    Label[neighbour] = label;
                    waiting.Push(neighbour);
                }
            }
        }
        _pieces.Add((net, cells, shares * grid.CellArea));
    }
}
