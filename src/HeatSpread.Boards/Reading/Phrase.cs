using System.Globalization;
using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>How values are named in the sentences of faults.</summary>
public static class Phrase
{
    private const int QuotedLength = 60;

    /// <summary>Bounds on the work of looking for the name that was meant.</summary>
    private const int LongestCorrected = 30, MostCandidates = 500;

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
        int reach = Math.Max(1, found.Length / 3);
        if (found.Length > LongestCorrected) return "";
        var nearest = candidates.Take(MostCandidates).Where(candidate => Math.Abs(candidate.Length - found.Length) <= reach)
            .Select(candidate => (candidate, distance: EditDistance(found, candidate)))
            .OrderBy(pair => pair.distance).FirstOrDefault((candidate: "", distance: int.MaxValue));
        return nearest.distance <= reach ? $" Did you mean `{nearest.candidate}`?" : "";
    }

    private static string Short(string text) => text.Length <= QuotedLength ? text : string.Concat(text.AsSpan(0, QuotedLength), "…");

    /// <summary>Letters to replace, add, leave out or swap with their neighbour (optimal string alignment), upper and lower case taken as equal.</summary>
    private static int EditDistance(string a, string b)
    {
        var distance = new int[a.Length + 1, b.Length + 1];
        for (int i = 0; i <= a.Length; i++) distance[i, 0] = i;
        for (int j = 0; j <= b.Length; j++) distance[0, j] = j;
        for (int i = 1; i <= a.Length; i++)
        {
            for (int j = 1; j <= b.Length; j++)
            {
                int replaced = distance[i - 1, j - 1] + (AreEqual(a[i - 1], b[j - 1]) ? 0 : 1);
                distance[i, j] = Math.Min(replaced, Math.Min(distance[i - 1, j], distance[i, j - 1]) + 1);
                if (i > 1 && j > 1 && AreEqual(a[i - 1], b[j - 2]) && AreEqual(a[i - 2], b[j - 1]))
                    distance[i, j] = Math.Min(distance[i, j], distance[i - 2, j - 2] + 1);
            }
        }
        return distance[a.Length, b.Length];
    }

    private static bool AreEqual(char a, char b) => char.ToUpperInvariant(a) == char.ToUpperInvariant(b);
}
