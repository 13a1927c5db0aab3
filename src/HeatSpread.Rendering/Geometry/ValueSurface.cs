using HeatSpread.Boards;
using HeatSpread.Thermal;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>
/// A field known at cell centres as a continuous one: bilinear between the centres. Cells without a value take the mean of the
/// neighbours that have one, wave by wave, so that the surface reaches the board's true edge and past it.
/// </summary>
internal sealed class ValueSurface
{
    private readonly BoardGrid _grid;
    private readonly float[] _values;

    /// <param name="grid">The cells.</param>
    /// <param name="celsius"><c>[row * Columns + column]</c>, NaN where there is no value; at least one value.</param>
    public ValueSurface(BoardGrid grid, float[] celsius)
    {
        if (celsius.Length != grid.CellCount) throw new ArgumentException($"{grid.CellCount} values must be given; there are {celsius.Length}", nameof(celsius));
        _grid = grid;
        Range = ValueRange.Of(celsius);
        _values = Array.Exists(celsius, float.IsNaN) ? Extend(grid, celsius) : celsius;
    }

    /// <summary>Of the given values.</summary>
    public ValueRange Range { get; }

    public double At(Point p)
    {
        var (column, right) = Column(p.X);
        var (row, up) = Row(p.Y);
        return At(column, right, row, up);
    }

    /// <summary>Samples a rectangle of a picture, cut into equal cells, at the cells' centres.</summary>
    /// <param name="view">Where the plan lies in the picture.</param>
    /// <param name="area">Which part of the picture, px.</param>
    /// <param name="columns">Cells along x.</param>
    /// <param name="rows">Cells along y.</param>
    /// <returns><c>[row * columns + column]</c>, row 0 at the top of the picture.</returns>
    public float[] Sample(PlanView view, SKRect area, int columns, int rows)
    {
        var samples = new float[columns * rows];
        var xs = new (int Column, double Right)[columns];
        double stepX = area.Width / columns, stepY = area.Height / rows;
        for (int i = 0; i < columns; i++) xs[i] = Column(view.ToPlan(area.Left + (i + 0.5) * stepX, 0).X);
        for (int j = 0; j < rows; j++)
        {
            var (row, up) = Row(view.ToPlan(0, area.Top + (j + 0.5) * stepY).Y);
            for (int i = 0; i < columns; i++) samples[j * columns + i] = (float)At(xs[i].Column, xs[i].Right, row, up);
        }
        return samples;
    }

    /// <summary>One sample a pixel of the view's target.</summary>
    public float[] Pixels(PlanView view) => Sample(view, view.Target, (int)view.Target.Width, (int)view.Target.Height);

    private double At(int column, double right, int row, double up)
    {
        int nextColumn = Math.Min(column + 1, _grid.Columns - 1), nextRow = Math.Min(row + 1, _grid.Rows - 1);
        double lower = _values[row * _grid.Columns + column] * (1 - right) + _values[row * _grid.Columns + nextColumn] * right;
        double upper = _values[nextRow * _grid.Columns + column] * (1 - right) + _values[nextRow * _grid.Columns + nextColumn] * right;
        return lower + (upper - lower) * up;
    }

    private (int Index, double Share) Column(double x) => Between((x - _grid.Origin.X) / _grid.PitchX - 0.5, _grid.Columns);

    private (int Index, double Share) Row(double y) => Between((y - _grid.Origin.Y) / _grid.PitchY - 0.5, _grid.Rows);

    private static (int Index, double Share) Between(double at, int count)
    {
        double inside = Math.Clamp(at, 0, count - 1);
        int index = (int)inside;
        return (index, inside - index);
    }

    private static float[] Extend(BoardGrid grid, float[] given)
    {
        var filled = (float[])given.Clone();
        var waiting = new bool[given.Length];
        var wave = new List<int>();
        for (int cell = 0; cell < given.Length; cell++)
            if (!float.IsNaN(given[cell])) AddEmptyNeighbours(grid, filled, cell, waiting, wave);
        while (wave.Count > 0)
        {
            var means = wave.ConvertAll(cell => NeighbourMean(grid, filled, cell)); // all before any is written: no direction is preferred
            for (int i = 0; i < means.Count; i++) filled[wave[i]] = means[i];
            var next = new List<int>();
            foreach (int cell in wave) AddEmptyNeighbours(grid, filled, cell, waiting, next);
            wave = next;
        }
        return filled;
    }

    private static void AddEmptyNeighbours(BoardGrid grid, float[] values, int cell, bool[] waiting, List<int> wave)
    {
        int column = cell % grid.Columns, row = cell / grid.Columns;
        for (int r = Math.Max(0, row - 1); r <= Math.Min(grid.Rows - 1, row + 1); r++)
        {
            for (int c = Math.Max(0, column - 1); c <= Math.Min(grid.Columns - 1, column + 1); c++)
            {
                int neighbour = r * grid.Columns + c;
                if (!float.IsNaN(values[neighbour]) || waiting[neighbour]) continue;
                waiting[neighbour] = true;
                wave.Add(neighbour);
            }
        }
    }

    private static float NeighbourMean(BoardGrid grid, float[] values, int cell)
    {
        int column = cell % grid.Columns, row = cell / grid.Columns, count = 0;
        float sum = 0;
        for (int r = Math.Max(0, row - 1); r <= Math.Min(grid.Rows - 1, row + 1); r++)
        {
            for (int c = Math.Max(0, column - 1); c <= Math.Min(grid.Columns - 1, column + 1); c++)
            {
                float v = values[r * grid.Columns + c];
                if (float.IsNaN(v)) continue;
                sum += v;
                count++;
            }
        }
        return count > 0 ? sum / count : float.NaN;
    }
}
