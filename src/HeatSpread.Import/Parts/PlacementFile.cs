using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Assembly;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Parts;

/// <summary>
/// A placement file: where each part sits, as a table with a line of headings. Separated by commas, semicolons, tabs, or set in columns. The
/// headings are those that the common CAD programs write (common practice, no source).
/// </summary>
internal sealed class PlacementFile
{
    private const int MaxHeaderLines = 60;

    private static readonly string[] IdHeadings = ["ref", "refdes", "ref des", "ref-des", "reference", "reference designator", "designator", "part reference", "component", "part", "name", "id"];
    private static readonly string[] XHeadings = ["posx", "pos x", "midx", "mid x", "center-x", "center x", "centerx", "centre x", "x", "x location", "x-location", "location x", "locationx", "x pos", "xpos", "x coord", "sym_x", "symbol x", "x coordinate"];
    private static readonly string[] YHeadings = ["posy", "pos y", "midy", "mid y", "center-y", "center y", "centery", "centre y", "y", "y location", "y-location", "location y", "locationy", "y pos", "ypos", "y coord", "sym_y", "symbol y", "y coordinate"];
    private static readonly string[] RotationHeadings = ["rot", "rotation", "angle", "orientation", "rotate"];
    private static readonly string[] SideHeadings = ["side", "layer", "tb", "board side", "location", "mount side", "mirror"];

    private readonly int id;
    private readonly int x;
    private readonly int y;
    private readonly int rotation;
    private readonly int side;
    private readonly double? unit;

    private PlacementFile(IReadOnlyList<string> headings, double? unitOfFile)
    {
        id = Find(headings, IdHeadings);
        x = Find(headings, XHeadings);
        y = Find(headings, YHeadings);
        rotation = Find(headings, RotationHeadings);
        side = Find(headings, SideHeadings);
        unit = x >= 0 ? UnitOf(headings[x]) ?? unitOfFile : null;
    }

    private bool IsTable => id >= 0 && x >= 0 && y >= 0;

    /// <summary>Whether a text has a line of headings as such a file has.</summary>
    public static bool IsOne(string text) => Header(text) is not null;

    /// <summary>Its parts; a unit that the file does not say is found by comparison with the board, and reported.</summary>
    /// <param name="name">Of the file.</param>
    /// <param name="text">Content.</param>
    /// <param name="board">Extent of the board, mm.</param>
    /// <param name="notes">Gains what was guessed, with lines.</param>
    public static IReadOnlyList<BoardComponent> Read(string name, string text, Box board, FileNotes notes)
    {
        if (Header(text) is not { } header) return [];
        var found = new List<(string Id, double X, double Y, double? Unit, double? Rotation, string? Side)>();
        int line = header.Line;
        foreach (string row in text.Split('\n').Skip(header.Line))
        {
            line++;
            if (row.Trim().Length == 0 || row.TrimStart().StartsWith('#')) continue;
            if (header.Table.Parse(header.Split(row.TrimEnd('\r'))) is { } part) found.Add(part);
            else notes.Warn(line, "has rows that are no placement; they were passed over");
        }
        double unit = ChooseUnit(found.ConvertAll(p => (p.X, p.Y)), header.Table.unit, board, notes, found.Exists(p => p.Unit is not null));
        return [.. found.Where(p => p.Id.Length > 0).DistinctBy(p => p.Id).Select(p => new BoardComponent(p.Id, p.Side, new Point(Lengths.Round(p.X * (p.Unit ?? unit)), Lengths.Round(p.Y * (p.Unit ?? unit)))) { RotationDegrees = p.Rotation, Source = name })];
    }

    private sealed record HeaderLine(int Line, PlacementFile Table, Func<string, IReadOnlyList<string>> Split);

    private static HeaderLine? Header(string text)
    {
        double? unit = null;
        int number = 0;
        foreach (var line in text.AsSpan()[..Math.Min(text.Length, 50_000)].EnumerateLines())
        {
            if (++number > MaxHeaderLines) return null;
            string row = line.ToString();
            if (row.Contains("Units", StringComparison.OrdinalIgnoreCase)) unit = UnitOf(row) ?? unit;
            foreach (var split in Splits(row))
            {
                var table = new PlacementFile(split(row.TrimStart('#', ' ', '\uFEFF')), unit);
                if (table.IsTable) return new HeaderLine(number, table, row.TrimStart().StartsWith('#') ? Words : split);
            }
        }
        return null;
    }

    private static IEnumerable<Func<string, IReadOnlyList<string>>> Splits(string row)
    {
        foreach (char separator in (char[])[',', ';', '\t'])
        {
            if (row.Contains(separator, StringComparison.Ordinal)) yield return r => Separated(r, separator);
        }
        if (!row.Contains(',', StringComparison.Ordinal) && row.Trim().Contains(' ', StringComparison.Ordinal))
        {
            int[] starts = ColumnStarts(row);
            yield return r => r == row || r == row.TrimStart('#', ' ', '\uFEFF') ? Words(r) : Columns(r, starts);
        }
    }

    /// <summary>Where words begin in a line of headings: the columns of a table set in columns.</summary>
    private static int[] ColumnStarts(string row) => [.. Enumerable.Range(0, row.Length).Where(i => row[i] != ' ' && (i == 0 || row[i - 1] == ' '))];

    private static string[] Columns(string row, int[] starts)
    {
        // A value that reaches over the next heading's place means that the columns are not kept; then words are counted.
        if (starts.Skip(1).Any(s => s < row.Length && s > 0 && row[s] != ' ' && row[s - 1] != ' ')) return Words(row);
        return [.. starts.Select((start, i) => start >= row.Length ? "" : row[start..(i + 1 < starts.Length ? Math.Min(starts[i + 1], row.Length) : row.Length)].Trim())];
    }

    private static string[] Words(string row) => row.Split((char[])[' ', '\t'], StringSplitOptions.RemoveEmptyEntries);

    private static List<string> Separated(string row, char separator)
    {
        var fields = new List<string>();
        var field = new System.Text.StringBuilder();
        bool quoted = false;
        foreach (char c in row)
        {
            if (c == '"') quoted = !quoted;
            else if (c == separator && !quoted)
            {
                fields.Add(field.ToString().Trim());
                field.Clear();
            }
            else field.Append(c);
        }
        fields.Add(field.ToString().Trim());
        return fields;
    }

    private static int Find(IReadOnlyList<string> headings, string[] known)
    {
        foreach (string wanted in known)
        {
            for (int i = 0; i < headings.Count; i++)
            {
                if (Plain(headings[i]) == wanted) return i;
            }
        }
        return -1;
    }

    /// <summary>A heading without its unit, in small letters.</summary>
    private static string Plain(string heading)
    {
        int bracket = heading.IndexOfAny(['(', '[']);
        return (bracket > 0 ? heading[..bracket] : heading).Trim().Trim('"').ToLowerInvariant();
    }

    private static double? UnitOf(string text)
    {
        string lower = text.ToLowerInvariant();
        bool Has(string word) => lower.Contains(word, StringComparison.Ordinal);
        if (Has("millimet") || Has("mm")) return 1;
        if (Has("mil")) return Lengths.MillimetersPerInch / 1000;
        if (Has("inch") || Has("(in)")) return Lengths.MillimetersPerInch;
        return null;
    }

    private (string Id, double X, double Y, double? Unit, double? Rotation, string? Side)? Parse(IReadOnlyList<string> fields)
    {
        if (fields.Count <= Math.Max(id, Math.Max(x, y)) || fields[id].Length is 0 or > 200) return null;
        if (Number(fields[x]) is not { } px || Number(fields[y]) is not { } py) return null;
        double? turn = rotation >= 0 && rotation < fields.Count ? Number(fields[rotation])?.Value : null;
        return (fields[id], px.Value, py.Value, px.Unit, turn, side >= 0 && side < fields.Count ? SideOf(fields[side]) : null);
    }

    private static string? SideOf(string text)
    {
        string lower = text.ToLowerInvariant();
        if (lower.StartsWith('t') || lower is "f" or "front" or "f.cu" or "no" or "component side" || lower.Contains("top", StringComparison.Ordinal)) return "top";
        return lower.StartsWith('b') || lower is "yes" or "solder side" || lower.Contains("bot", StringComparison.Ordinal) ? "bottom" : null;
    }

    private static (double Value, double? Unit)? Number(string text)
    {
        string number = text.Trim().Trim('"').TrimEnd('m', 'i', 'l', 'n', '"', ' ');
        if (!number.Contains('.', StringComparison.Ordinal) && number.Count(c => c == ',') == 1) number = number.Replace(',', '.');
        if (!double.TryParse(number, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) || Math.Abs(value) > 1e7) return null;
        return (value, number.Length < text.Trim().Length ? UnitOf(text) : null);
    }

    private static double ChooseUnit(List<(double X, double Y)> places, double? said, Box board, FileNotes notes, bool inValues)
    {
        if (said is { } known) return known;
        if (inValues || places.Count == 0) return 1;
        double[] candidates = [1, Lengths.MillimetersPerInch / 1000, Lengths.MillimetersPerInch];
        double best = candidates.MaxBy(u => Likelihood(places, u, board));
        notes.Warn(0, $"does not say its unit; {(best == 1 ? "mm" : best < 1 ? "mil" : "inch")} was taken, compared with the extent of the board");
        return best;
    }

    /// <summary>Places on the board, half as many where all crowd on a small part of it; mm wins where two are alike.</summary>
    private static double Likelihood(List<(double X, double Y)> places, double unit, Box board)
    {
        var near = board.Grow(5);
        int inside = places.Count(p => p.X * unit >= near.MinX && p.X * unit <= near.MaxX && p.Y * unit >= near.MinY && p.Y * unit <= near.MaxY);
        double extent = Math.Max(places.Max(p => p.X) - places.Min(p => p.X), places.Max(p => p.Y) - places.Min(p => p.Y)) * unit;
        bool isCrowded = places.Count > 1 && extent < 0.1 * Math.Max(board.Width, board.Height);
        return (isCrowded ? 0.5 : 1) * inside + (unit == 1 ? 0.25 : 0);
    }
}
