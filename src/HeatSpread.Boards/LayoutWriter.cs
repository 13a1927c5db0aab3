namespace HeatSpread.Boards;

/// <summary>Writes a layout as canonical JSON: the same layout gives the same bytes, and reading them gives the same layout.</summary>
public static class LayoutWriter
{
    public static byte[] Write(LayoutDocument document) => throw new NotImplementedException();
}
