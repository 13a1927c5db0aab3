using System.Collections;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// The finding <c>isolatedCopper</c>: hot copper about a terminal whose way out along its layer is a neck or spokes. Cells of the terminal's copper are taken in from the hottest to the
/// coldest; where the temperature falls far while hardly any copper is added, the copper between is a neck. Where heat spreads freely the area grows as the temperature falls.
/// </summary>
internal static class NeckDrafts
{
    /// <summary>K that the temperature falls along a neck, at least.</summary>
    public const double LeastFall = 3;

    /// <summary>The same as a share of the terminal's rise.</summary>
    public const double LeastShare = 0.1;

    /// <summary>Along a neck the copper behind it grows by this share at most.</summary>
    public const double MostGrowth = 0.12;

    /// <summary>Beyond a neck the copper goes on to this multiple of what is before it.</summary>
    public const double LeastBeyond = 2;

    /// <summary>Heat through the neck, as a share of the terminal's, at least: where less goes, another way carries it.</summary>
    public const double LeastWattsShare = 0.05;

    /// <summary>Terminals with less heat, W, are not looked at.</summary>
    public const double LeastWatts = 0.05;

    public static IEnumerable<Draft> Find(Board board, Conditions conditions, GridSolution answer, GridErrors errors, ParallelOptions options)
    {
        var warm = new List<(int Part, int Index, int Layer)>();
        for (int part = 0; part < board.Parts.Count; part++)
        {
            for (int index = 0; index < board.Parts[part].Terminals.Count; index++)
            {
                if (answer.Field.Parts[part].TerminalWatts[index] < LeastWatts) continue;
                foreach (var side in board.Parts[part].SidesOf(board.Parts[part].Terminals[index])) warm.Add((part, index, side == BoardSide.Top ? 0 : board.Layers.Count - 1));
            }
        }
        var drafts = new Draft?[warm.Count];
        Parallel.For(0, drafts.Length, options, i => drafts[i] = DraftOf(board, conditions, answer, errors, warm[i].Part, warm[i].Index, warm[i].Layer));
        return drafts.OfType<Draft>();
    }

    private static Draft? DraftOf(Board board, Conditions conditions, GridSolution answer, GridErrors errors, int part, int index, int layer)
    {
        double watts = answer.Field.Parts[part].TerminalWatts[index], celsius = answer.Field.Parts[part].TerminalCelsius[index];
        double least = Math.Max(Math.Max(LeastFall, errors.Parts[part]), LeastShare * (celsius - conditions.AmbientCelsius));
        var terminal = board.Parts[part].Terminals[index];
        if (Neck(board, layer, answer, terminal, least) is not { } neck || neck.Watts < LeastWattsShare * watts) return null;
        var finding = new Finding
        {
            Kind = FindingKind.IsolatedCopper,
            Layer = layer,
            Net = terminal.Net,
            Part = part,
            Terminal = terminal.Name,
            Path = neck.Places,
            WidthMeters = neck.Width,
            JumpKelvin = neck.Fall,
            Watts = neck.Watts,
            Text = TextOf($"{board.Parts[part].Id}:{terminal.Name}", board.Layers[layer].Name, neck, watts, errors.Parts[part]),
        };
        return new(finding, []);
    }

    private static string TextOf(string name, string layer, NeckFound neck, double watts, double error)
    {
        string ways = neck.Places.Count == 1 ? $"one neck of {Words.Millimetres(neck.Width)} at {Words.At(neck.Places[0])}" : $"{neck.Places.Count} necks, {Words.Millimetres(neck.Width)} of copper together";
        return $"The copper of {name} on {layer} joins the rest through {ways}: the temperature falls by {Words.Kelvin(neck.Fall, error)} there, and {Words.Watts(neck.Watts)} of {Words.Watts(watts)} goes that way. Widen {(neck.Places.Count == 1 ? "it" : "them")}.";
    }

    private sealed record NeckFound(IReadOnlyList<Point> Places, double Width, double Fall, double Watts);

    private static NeckFound? Neck(Board board, int layer, GridSolution answer, Terminal terminal, double leastFall)
    {
        var (grid, copper) = (answer.Field.Grid, answer.Raster.Layers[layer]);
        float[] celsius = answer.Field.RowCelsius[board.Layers[layer].Row];
        if (SeedOf(terminal, grid, copper) is not { } seed) return null;
        var order = HotToCold(seed, celsius, copper, grid);
        // area taken in by the time that a level is reached
        var area = new double[order.Count + 1];
        for (int i = 0; i < order.Count; i++) area[i + 1] = area[i] + copper.CopperShare[order[i].Cell];
        double smallest = terminal.Pad.Polygons.Sum(polygon => polygon.Area) / grid.CellArea;
        var (best, from, to) = (0.0, 0, 0);
        for (int start = 0, end = 0; start < order.Count; start++)
        {
            if (area[start + 1] < Math.Max(smallest, 4) || LeastBeyond * area[start + 1] > area[^1]) continue;
            while (end + 1 < order.Count && area[end + 2] <= (1 + MostGrowth) * area[start + 1]) end++;
            double fall = order[start].Level - order[Math.Max(end, start)].Level;
            if (fall > best) (best, from, to) = (fall, start, end);
        }
        if (best < leastFall) return null;
        var inside = order.Take(Narrowest(order, from, to, copper, grid) + 1).Select(step => step.Cell).ToHashSet();
        return Across(inside, board, layer, celsius, copper, grid, best);
    }

    /// <summary>Where on the way down the least copper leads out of the cells taken in so far.</summary>
    private static int Narrowest(List<(int Cell, double Level)> order, int from, int to, LayerRaster copper, BoardGrid grid)
    {
        var inside = new BitArray(grid.CellCount);
        var (least, at, width) = (double.PositiveInfinity, from, 0.0);
        for (int i = 0; i <= to; i++)
        {
            inside[order[i].Cell] = true;
            foreach (var (other, joined, alongX) in Joined(order[i].Cell, copper, grid)) width += (inside[other] ? -1 : 1) * joined * (alongX ? grid.PitchY : grid.PitchX);
            if (i >= from && width < least - 1e-9) (least, at) = (width, i);
        }
        return at;
    }

    /// <summary>The links of copper that lead out of a set of cells.</summary>
    private static NeckFound Across(HashSet<int> inside, Board board, int layer, float[] celsius, LayerRaster copper, BoardGrid grid, double fall)
    {
        var row = board.Rows[board.Layers[layer].Row];
        double sheet = row.Thickness * row.CopperConductivity, watts = 0, width = 0;
        var places = new List<Point>();
        foreach (int cell in inside)
        {
            foreach (var (other, joined, alongX) in Joined(cell, copper, grid))
            {
                if (inside.Contains(other)) continue;
                double flow = sheet * joined * (alongX ? grid.PitchY / grid.PitchX : grid.PitchX / grid.PitchY) * (celsius[cell] - celsius[other]);
                if (flow <= 0) continue;
                watts += flow;
                width += joined * (alongX ? grid.PitchY : grid.PitchX);
                Point a = grid.Centre(cell % grid.Columns, cell / grid.Columns), b = grid.Centre(other % grid.Columns, other / grid.Columns);
                var middle = new Point((a.X + b.X) / 2, (a.Y + b.Y) / 2);
                if (places.TrueForAll(place => GapPath.Distance(place, middle) > 1e-3)) places.Add(middle);
            }
        }
        return new(places, width, fall, watts);
    }

    /// <summary>The cells of one piece of copper in the order in which a falling level floods them from a seed, each with the level at which it is reached.</summary>
    private static List<(int Cell, double Level)> HotToCold(int seed, float[] celsius, LayerRaster copper, BoardGrid grid)
    {
        var order = new List<(int, double)>();
        var seen = new BitArray(grid.CellCount) { [seed] = true };
        var open = new PriorityQueue<int, double>([(seed, -celsius[seed])]);
        double level = double.PositiveInfinity;
        while (open.TryDequeue(out int cell, out _))
        {
            level = Math.Min(level, celsius[cell]);
            order.Add((cell, level));
            foreach (var (other, _, _) in Joined(cell, copper, grid))
            {
                if (seen[other]) continue;
                seen[other] = true;
                open.Enqueue(other, -celsius[other]);
            }
        }
        return order;
    }

    private static IEnumerable<(int Cell, double Joined, bool AlongX)> Joined(int cell, LayerRaster copper, BoardGrid grid)
    {
        int column = cell % grid.Columns;
        if (column + 1 < grid.Columns && copper.CopperEast[cell] >= LayerPieces.LeastLink) yield return (cell + 1, copper.CopperEast[cell], true);
        if (column > 0 && copper.CopperEast[cell - 1] >= LayerPieces.LeastLink) yield return (cell - 1, copper.CopperEast[cell - 1], true);
        if (cell + grid.Columns < grid.CellCount && copper.CopperNorth[cell] >= LayerPieces.LeastLink) yield return (cell + grid.Columns, copper.CopperNorth[cell], false);
        if (cell >= grid.Columns && copper.CopperNorth[cell - grid.Columns] >= LayerPieces.LeastLink) yield return (cell - grid.Columns, copper.CopperNorth[cell - grid.Columns], false);
    }

    /// <summary>The cell with most copper at the middle of the pad.</summary>
    private static int? SeedOf(Terminal terminal, BoardGrid grid, LayerRaster copper)
    {
        var (column, row) = grid.CellAt(terminal.Pad.Bounds.Centre);
        int cell = row * grid.Columns + column;
        return copper.CopperShare[cell] > 0.5 ? cell : null;
    }
}
