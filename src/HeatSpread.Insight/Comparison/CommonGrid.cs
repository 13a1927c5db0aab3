using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight.Comparison;

/// <summary>The grid on which two boards are compared cell by cell.</summary>
public static class CommonGrid
{
    private const double Touching = 1e-9;

    /// <summary>The same where both have one grid; else the one of finer pitch where it covers both boards, or a grid of that pitch over both.</summary>
    public static BoardGrid Of(BoardGrid first, BoardGrid second)
    {
        ArgumentNullException.ThrowIfNull(first);
        ArgumentNullException.ThrowIfNull(second);
        if (first == second) return first;
        var both = BoxOf(first).Include(BoxOf(second));
        var finer = first.CellArea <= second.CellArea ? first : second;
        var box = BoxOf(finer);
        bool covers = box.MinX - both.MinX < Touching && box.MinY - both.MinY < Touching && both.MaxX - box.MaxX < Touching && both.MaxY - box.MaxY < Touching;
        return covers ? finer : BoardGrid.Over(both, Math.Min(finer.PitchX, finer.PitchY));
    }

    private static Box BoxOf(BoardGrid grid) => new(grid.Origin.X, grid.Origin.Y, grid.Origin.X + grid.Columns * grid.PitchX, grid.Origin.Y + grid.Rows * grid.PitchY);
}
