namespace HeatSpread.Thermal;

/// <summary>What an edit changed in the field of a coarser grid, as a guess for a finer one: the finer solve has only to mend what the coarse grid cannot see.</summary>
public sealed class CoarseChange
{
    private readonly BoardGrid _grid;
    private readonly float[] _share;
    private readonly float[] _change;

    /// <param name="before">Solved.</param>
    /// <param name="after">The same board on the same grid with an edit.</param>
    public CoarseChange(SolvedNetwork before, SolvedNetwork after)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(after);
        (_grid, _share) = (before.Raster.Grid, before.Raster.BoardShareArray);
        _change = new float[before.Rise.Length];
        for (int i = 0; i < _change.Length; i++) _change[i] = (float)(after.Rise[i] - before.Rise[i]);
    }

    /// <summary>The field of the same board on a grid at least as fine, with the change added, linear between the coarse cells' centres.</summary>
    /// <returns>K over ambient of each unknown: cells, then nodes.</returns>
    public double[] AddTo(SolvedNetwork fine)
    {
        ArgumentNullException.ThrowIfNull(fine);
        double[] field = new double[fine.Rise.Length];
        var grid = fine.Raster.Grid;
        var share = fine.Raster.BoardShareArray;
        int sheets = fine.Network.Stack.Sheets.Count, plane = grid.CellCount, coarsePlane = _grid.CellCount;
        var columns = Enumerable.Range(0, grid.Columns).Select(column => Between((grid.Centre(column, 0).X - _grid.Origin.X) / _grid.PitchX - 0.5, _grid.Columns)).ToArray();
        Parallel.For(0, grid.Rows, row =>
        {
            for (int sheet = 0; sheet < sheets; sheet++) fine.Rise.AsSpan(sheet * plane + row * grid.Columns, grid.Columns).CopyTo(field.AsSpan(sheet * plane + row * grid.Columns));
            var (lower, upper, up) = Between((grid.Centre(0, row).Y - _grid.Origin.Y) / _grid.PitchY - 0.5, _grid.Rows);
            for (int column = 0; column < grid.Columns; column++)
            {
                int cell = row * grid.Columns + column;
                if (share[cell] <= 0) continue;
                var (left, right, along) = columns[column];
                int a = lower * _grid.Columns + left, b = lower * _grid.Columns + right, c = upper * _grid.Columns + left, d = upper * _grid.Columns + right;
                double wa = Weight(a, (1 - along) * (1 - up)), wb = Weight(b, along * (1 - up)), wc = Weight(c, (1 - along) * up), wd = Weight(d, along * up), sum = wa + wb + wc + wd;
                if (sum <= 0) continue; // no board nearby on the coarse grid
                for (int sheet = 0; sheet < sheets; sheet++)
                {
                    int at = sheet * coarsePlane;
                    field[sheet * plane + cell] += (wa * _change[at + a] + wb * _change[at + b] + wc * _change[at + c] + wd * _change[at + d]) / sum;
                }
            }
        });
        for (int node = 1; node <= fine.Network.Grid.NodeCount; node++) field[^node] = fine.Rise[^node] + _change[^node];
        return field;
    }

    private double Weight(int cell, double weight) => _share[cell] > 0 ? weight : 0;

    /// <summary>The two cells about a place along one axis, and how far it is from the first to the second.</summary>
    private static (int First, int Second, double Along) Between(double place, int count)
    {
        int first = Math.Clamp((int)Math.Floor(place), 0, count - 1), second = Math.Min(count - 1, first + 1);
        return (first, second, Math.Clamp(place - first, 0, 1));
    }
}
