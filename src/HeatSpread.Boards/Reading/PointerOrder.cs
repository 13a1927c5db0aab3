using System.Globalization;

namespace HeatSpread.Boards;

/// <summary>Orders JSON Pointers as a document is written: sections in the contract's order, items by index.</summary>
internal sealed class PointerOrder : IComparer<string>
{
    private static readonly string[] SectionOrder =
        ["layout", "name", "revision", "unit", "outline", "materials", "stack", "nets", "copper", "vias", "parts", "probes", "files", "conditions"];

    public static PointerOrder Instance { get; } = new();

    public int Compare(string? x, string? y)
    {
        string[] a = (x ?? "").Split('/'), b = (y ?? "").Split('/');
        for (int i = 1; i < Math.Min(a.Length, b.Length); i++)
        {
            int order = CompareTokens(a[i], b[i]);
            if (order != 0) return order;
        }
        return a.Length.CompareTo(b.Length);
    }

    private static int CompareTokens(string a, string b)
    {
        if (int.TryParse(a, NumberStyles.None, CultureInfo.InvariantCulture, out int i) && int.TryParse(b, NumberStyles.None, CultureInfo.InvariantCulture, out int j))
            return i.CompareTo(j);
        int rankA = Rank(a), rankB = Rank(b);
        return rankA != rankB ? rankA.CompareTo(rankB) : string.CompareOrdinal(a, b);
    }

    private static int Rank(string token)
    {
        int rank = Array.IndexOf(SectionOrder, token);
        return rank < 0 ? SectionOrder.Length : rank;
    }
}
