using HeatSpread.Boards;
using HeatSpread.Service.Problems;

namespace HeatSpread.Service;

/// <summary>Layers in addresses.</summary>
internal static class LayerName
{
    /// <summary>A layer's name as a segment of an address.</summary>
    public static string Segment(string name) => Uri.EscapeDataString(name);

    /// <summary>The layer that a segment names; -1 for none. The server decodes every escape of a path but that of the slash.</summary>
    public static int Find(IReadOnlyList<string> layers, string segment)
    {
        int exact = IndexOf(layers, segment);
        return exact >= 0 ? exact : IndexOf(layers, Decoded(segment));
    }

    /// <summary>As the other, of a board's copper layers.</summary>
    public static int Find(Board board, string segment) => Find(NamesOf(board), segment);

    /// <summary>A segment without the one escape that the server leaves in it.</summary>
    public static string Decoded(string segment) => segment.Replace("%2F", "/", StringComparison.OrdinalIgnoreCase);

    public static Problem Missing(IReadOnlyList<string> layers, string segment) => Problem.NotFound($"The board has no copper layer {segment}; it has {string.Join(", ", layers)}.");

    public static Problem Missing(Board board, string segment) => Missing(NamesOf(board), segment);

    private static string[] NamesOf(Board board) => [.. board.Layers.Select(layer => layer.Name)];

    private static int IndexOf(IReadOnlyList<string> layers, string name)
    {
        for (int i = 0; i < layers.Count; i++)
        {
            if (layers[i] == name) return i;
        }
        return -1;
    }
}
