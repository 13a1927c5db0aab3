using HeatSpread.Boards;
using HeatSpread.Service.Problems;

namespace HeatSpread.Service;

/// <summary>Layers in addresses.</summary>
internal static class LayerName
{
    /// <summary>A layer's name as a segment of an address.</summary>
    public static string Segment(string name) => Uri.EscapeDataString(name);

    /// <summary>The layer that a segment names; -1 for none. The server decodes every escape of a path but that of the slash.</summary>
    public static int Find(Board board, string segment)
    {
        int exact = IndexOf(board, segment);
        return exact >= 0 ? exact : IndexOf(board, Decoded(segment));
    }

    /// <summary>A segment without the one escape that the server leaves in it.</summary>
    public static string Decoded(string segment) => segment.Replace("%2F", "/", StringComparison.OrdinalIgnoreCase);

    public static Problem Missing(Board board, string segment) =>
        Problem.NotFound($"The board has no copper layer {segment}; it has {string.Join(", ", board.Layers.Select(l => l.Name))}.");

    private static int IndexOf(Board board, string name)
    {
        for (int i = 0; i < board.Layers.Count; i++)
        {
            if (board.Layers[i].Name == name) return i;
        }
        return -1;
    }
}
