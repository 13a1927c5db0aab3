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
        var places = new List<ReadingPlace> { Hottest(field, Enumerable.Range(0, field.RowCelsius.Count), [board.Outline.Bounds], OfPeak) };
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

    /// <summary>Root mean square of the difference of two fields in the eight directions one, two and three cells of the finer away, K; of those places that are on the board.</summary>
    public double DifferenceAround(TemperatureField finer, TemperatureField coarser)
    {
        var grid = finer.Grid;
        var (sum, count) = (0.0, 0);
        for (int direction = 0; direction < 9; direction++)
        {
            if (direction == 4) continue; // itself
            for (int cells = 1; cells <= CellsAround; cells++)
            {
                var at = new Point(At.X + (direction % 3 - 1) * cells * grid.PitchX, At.Y + (direction / 3 - 1) * cells * grid.PitchY);
                var (column, row) = grid.CellAt(at);
                if (float.IsNaN(finer.RowCelsius[Row][row * grid.Columns + column])) continue;
                double difference = FieldSample.At(coarser.Grid, coarser.RowCelsius[Row], at) - FieldSample.At(grid, finer.RowCelsius[Row], at);
                sum += difference * difference;
                count++;
            }
        }
        return Math.Sqrt(sum / Math.Max(1, count));
    }

    /// <summary>The hottest place of the boxes about its pads, or about its body where it has none.</summary>
    private static ReadingPlace OfPart(Board board, TemperatureField field, Part part)
    {
        int[] row = [board.OuterRow(part.Side)];
        return part.Terminals.Count > 0
            ? Hottest(field, row, [.. part.Terminals.Select(terminal => terminal.Pad.Bounds)], OfPads)
            : Hottest(field, row, [part.Body!.Bounds], OfBodies);
    }

    /// <summary>The hottest of the cells whose centres lie in boxes; where there is none, the middle of the first box.</summary>
    private static ReadingPlace Hottest(TemperatureField field, IEnumerable<int> rows, IReadOnlyList<Box> boxes, double factor)
    {
        var grid = field.Grid;
        var (hottest, celsius) = (new ReadingPlace(rows.First(), boxes[0].Centre, factor), float.NegativeInfinity);
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
