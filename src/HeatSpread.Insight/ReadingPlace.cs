using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>Where a reported temperature is read, so that grids can be compared around it as well.</summary>
/// <param name="Row">Of the stack.</param>
/// <param name="At">Metres.</param>
/// <param name="Factor">Its grid error is so many times that of a probe of which the grids tell as much; measured.</param>
internal readonly record struct ReadingPlace(int Row, Point At, double Factor)
{
    /// <summary>
    /// Of the peak: on each grid it is the greatest of many cells. Of parts with pads: metal, whose heat spreads before it meets the board's copper.
    /// Of parts that are a body alone: the hottest place below may be bare laminate between two pours.
    /// </summary>
    private const double OfPeak = 1.1, OfPads = 0.85, OfBodies = 1.35;

    private const int CellsAround = 3;

    /// <summary>Peak, parts, probes, then nodes and terminals of the parts.</summary>
    public static ReadingPlace[] OfReported(Board board, TemperatureField field)
    {
        ReadingPlace[] parts = [.. board.Parts.Select(part => OfPart(board, field, part))];
        var places = new List<ReadingPlace> { Hottest(field, [.. Enumerable.Range(0, field.RowCelsius.Count)], [board.Outline.Bounds], OfPeak) };
        places.AddRange(parts);
        places.AddRange(board.Probes.Select(probe => new ReadingPlace(board.Layers[probe.Layer].Row, probe.At, 1)));
        for (int part = 0; part < board.Parts.Count; part++)
        {
            places.AddRange(Enumerable.Repeat(parts[part], field.Parts[part].NodeCelsius.Count));
            foreach (var terminal in board.Parts[part].Terminals)
            {
                places.Add(new(board.OuterRow(board.Parts[part].SidesOf(terminal)[0]), terminal.Pad.Bounds.Centre, OfPads));
            }
        }
        return [.. places];
    }

    /// <summary>
    /// Mean square of the difference of a field and each of some coarser ones in the eight directions one, two and three of its cells away, K²; of those places that are on the board.
    /// </summary>
    public double[] MeanSquaresAround(TemperatureField finer, IReadOnlyList<TemperatureField> coarser)
    {
        var grid = finer.Grid;
        double[] sums = new double[coarser.Count];
        int count = 0;
        for (int direction = 0; direction < 9; direction++)
        {
            if (direction == 4) continue; // itself
            for (int cells = 1; cells <= CellsAround; cells++)
            {
                var at = new Point(At.X + (direction % 3 - 1) * cells * grid.PitchX, At.Y + (direction / 3 - 1) * cells * grid.PitchY);
                if (!IsOnBoard(finer, at)) continue;
                double here = FieldSample.At(grid, finer.RowCelsius[Row], at);
                for (int i = 0; i < sums.Length; i++) sums[i] += Math.Pow(FieldSample.At(coarser[i].Grid, coarser[i].RowCelsius[Row], at) - here, 2);
                count++;
            }
        }
        return [.. sums.Select(sum => sum / Math.Max(1, count))];
    }

    private bool IsOnBoard(TemperatureField field, Point at)
    {
        var grid = field.Grid;
        var (column, row) = ((at.X - grid.Origin.X) / grid.PitchX, (at.Y - grid.Origin.Y) / grid.PitchY);
        return column >= 0 && column < grid.Columns && row >= 0 && row < grid.Rows && !float.IsNaN(field.RowCelsius[Row][(int)row * grid.Columns + (int)column]);
    }

    /// <summary>The hottest place of the boxes about its pads, or about its body where it has none.</summary>
    private static ReadingPlace OfPart(Board board, TemperatureField field, Part part) => part.Terminals.Count > 0
        ? Hottest(field, [.. part.Terminals.SelectMany(part.SidesOf).Select(board.OuterRow).Distinct()], [.. part.Terminals.Select(terminal => terminal.Pad.Bounds)], OfPads)
        : Hottest(field, [board.OuterRow(part.Side)], [part.Body!.Bounds], OfBodies);

    /// <summary>The hottest of the cells whose centres lie in boxes; where there is none, the middle of the first box.</summary>
    private static ReadingPlace Hottest(TemperatureField field, IReadOnlyList<int> rows, IReadOnlyList<Box> boxes, double factor)
    {
        var grid = field.Grid;
        var (hottest, celsius) = (new ReadingPlace(rows[0], boxes[0].Centre, factor), float.NegativeInfinity);
        foreach (int row in rows)
        {
            float[] cells = field.RowCelsius[row];
            foreach (var box in boxes)
            {
                var ((left, lower), (right, upper)) = (grid.CellAt(new(box.MinX, box.MinY)), grid.CellAt(new(box.MaxX, box.MaxY)));
                for (int y = lower; y <= upper; y++)
                {
                    for (int x = left; x <= right; x++)
                    {
                        float here = cells[y * grid.Columns + x];
                        if (!(here > celsius)) continue; // NaN compares false
                        var centre = grid.Centre(x, y);
                        if (box.Holds(centre)) (hottest, celsius) = (new(row, centre, factor), here);
                    }
                }
            }
        }
        return hottest;
    }
}
