using System.Globalization;
using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>How values are named in the sentences of faults.</summary>
internal static class Phrase
{
    private const int QuotedLength = 60;

    public static string Found(JsonElement json) => json.ValueKind switch
    {
        JsonValueKind.Object => "an object",
        JsonValueKind.Array => $"an array of {json.GetArrayLength()}",
        JsonValueKind.String => "the string " + Quoted(json.GetString()!),
        JsonValueKind.Number => Short(json.GetRawText()),
        JsonValueKind.True => "true",
        JsonValueKind.False => "false",
        _ => "null",
    };

    public static string Quoted(string text) => $"\"{Short(text)}\"";

    public static string Number(double value) => value.ToString("R", CultureInfo.InvariantCulture);

    public static string Of(Point p) => $"[{Number(p.X)}, {Number(p.Y)}]";

    public static string List(IEnumerable<string> names)
    {
        var shown = names.Take(13).Select(name => $"`{Short(name)}`").ToList();
        if (shown.Count > 12) shown[12] = "…";
        return string.Join(", ", shown);
    }

    /// <summary>A question that offers the candidate nearest to a misspelt name; empty where none is near.</summary>
    public static string Suggestion(string found, IEnumerable<string> candidates)
    {
        if (found.Length > QuotedLength) return "";
        var nearest = candidates.Take(2_000).Where(candidate => candidate.Length <= QuotedLength)
            .Select(candidate => (candidate, distance: EditDistance(found, candidate)))
            .OrderBy(pair => pair.distance).FirstOrDefault((candidate: "", distance: int.MaxValue));
        return nearest.distance <= Math.Max(1, found.Length / 3) ? $" Did you mean `{nearest.candidate}`?" : "";
    }

    private static string Short(string text) => text.Length <= QuotedLength ? text : string.Concat(text.AsSpan(0, QuotedLength), "…");

    /// <summary>Levenshtein's distance, upper and lower case taken as equal.</summary>
    private static int EditDistance(string a, string b)
    {
        int[] row = [.. Enumerable.Range(0, b.Length + 1)];
        for (int i = 1; i <= a.Length; i++)
        {
            int diagonal = row[0];
            row[0] = i;
            for (int j = 1; j <= b.Length; j++)
            {
                int replaced = diagonal + (char.ToUpperInvariant(a[i - 1]) == char.ToUpperInvariant(b[j - 1]) ? 0 : 1);
                diagonal = row[j];
                row[j] = Math.Min(replaced, Math.Min(row[j], row[j - 1]) + 1);
            }
        }
        return row[b.Length];
    }
}
