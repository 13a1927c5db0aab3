using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>
/// Where a field leaves what its own figures hold for: solder that would have melted, materials beyond the temperatures of their data, air beyond its table, a converter beyond its loss model.
/// They do not change the verdict, which is of limits alone; a number that such a warning is about is no basis for one.
/// </summary>
internal static class FieldWarnings
{
    /// <summary>Liquidus of the tin-silver-copper solder SAC305, °C (IPC J-STD-006, from memory).</summary>
    private const double SolderMelts = 217;

    /// <summary>Epoxy laminates lose 5 % of their mass at 310 to 340 °C (decomposition temperatures of IPC-4101, from memory): they char.</summary>
    private const double LaminateChars = 310;

    /// <summary>Highest junction temperature that silicon parts are rated for, °C: 175, few 200 (common practice, no source).</summary>
    private const double SiliconEnds = 200;

    private const int MostPartsNamed = 3;

    public static IReadOnlyList<string> Of(Board board, GridSolution solution, Place peak, IReadOnlyList<PartSummary> parts) =>
        [.. Solder(solution, peak), .. Nodes(parts), .. Rows(board, solution), .. Surfaces(solution), .. solution.Field.Converter?.Warnings ?? []];

    private static IEnumerable<string> Solder(GridSolution solution, Place peak)
    {
        if (peak.Celsius <= SolderMelts) yield break;
        string chars = peak.Celsius > LaminateChars ? string.Create(CultureInfo.InvariantCulture, $" and epoxy laminate chars from about {LaminateChars:0} °C") : "";
        string peakAt = Say($"{peak.RowName} reaches {peak.Celsius:0} °C at {Words.At(peak.At)}"), share = Say($"{100 * ShareAbove(solution, SolderMelts):0.#} % of the board are above {SolderMelts:0} °C");
        yield return $"{peakAt}, and {share}, where tin-silver-copper solder melts{chars}: the figures are those of a board that stays whole.";
    }

    /// <summary>Of the board's area, where some row is hotter.</summary>
    private static double ShareAbove(GridSolution solution, double celsius)
    {
        var share = solution.Raster.BoardShare;
        double above = 0, all = 0;
        for (int cell = 0; cell < share.Count; cell++)
        {
            all += share[cell];
            if (solution.Field.RowCelsius.Any(row => row[cell] > celsius)) above += share[cell];
        }
        return above / all;
    }

    private static IEnumerable<string> Nodes(IReadOnlyList<PartSummary> parts)
    {
        var hot = parts.Where(part => part.Nodes.Count > 0 && part.MaxCelsius > SiliconEnds).OrderByDescending(part => part.MaxCelsius).ToList();
        if (hot.Count == 0) yield break;
        string named = string.Join(", ", hot.Take(MostPartsNamed).Select(part => Say($"{part.Id} {part.MaxCelsius:0} °C"))) + (hot.Count > MostPartsNamed ? Say($" and {hot.Count - MostPartsNamed} more") : "");
        yield return Say($"Inner nodes of parts are hotter than silicon is rated for (175 °C, few parts {SiliconEnds:0} °C): {named}.");
    }

    /// <summary>One for each material that is hotter, or colder, somewhere than its data go: of the row that is so most.</summary>
    private static IEnumerable<string> Rows(Board board, GridSolution solution)
    {
        var found = new List<(string Text, double Excess, string Material, bool IsHot)>();
        for (int row = 0; row < board.Rows.Count; row++)
        {
            float[] cells = solution.Field.RowCelsius[row];
            foreach (var range in new[] { board.Rows[row].FillRange, board.Rows[row].CopperRange }.OfType<TemperatureRange>().Distinct())
            {
                int hottest = Extreme(cells, 1), coldest = Extreme(cells, -1);
                if (cells[hottest] > range.ToCelsius) found.Add((Text(row, hottest, range, range.ToCelsius, "reaches"), cells[hottest] - range.ToCelsius, range.Material, true));
                if (cells[coldest] < range.FromCelsius) found.Add((Text(row, coldest, range, range.FromCelsius, "falls to"), range.FromCelsius - cells[coldest], range.Material, false));
            }
        }
        return found.GroupBy(each => (each.Material, each.IsHot)).Select(group => group.MaxBy(each => each.Excess).Text);

        string Text(int row, int cell, TemperatureRange range, double end, string verb)
        {
            var grid = solution.Field.Grid;
            string at = Words.At(grid.Centre(cell % grid.Columns, cell / grid.Columns));
            return Say($"{FieldReadings.RowName(board, row)} {verb} {solution.Field.RowCelsius[row][cell]:0} °C at {at}: what is known of `{range.Material}` ends at {end:0} °C, and beyond it {range.Beyond}.");
        }
    }

    private static int Extreme(float[] cells, int sign)
    {
        int at = -1;
        for (int cell = 0; cell < cells.Length; cell++)
        {
            if (!float.IsNaN(cells[cell]) && (at < 0 || sign * cells[cell] > sign * cells[at])) at = cell;
        }
        return at;
    }

    private static IEnumerable<string> Surfaces(GridSolution solution)
    {
        var (top, bottom) = (solution.Field.Surfaces.Top, solution.Field.Surfaces.Bottom);
        return top.Warnings.Select(text => "Top: " + text).Concat(bottom.Warnings.Select(text => "Bottom: " + text));
    }

    private static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
