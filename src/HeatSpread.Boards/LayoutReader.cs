namespace HeatSpread.Boards;

/// <summary>Reads a layout document from JSON, strictly, and lists every fault of it.</summary>
public static class LayoutReader
{
    /// <summary>Reads a whole layout.</summary>
    /// <param name="json">UTF-8.</param>
    public static Reading<LayoutDocument> Read(ReadOnlyMemory<byte> json) => throw new NotImplementedException();

    /// <summary>Reads the description that accompanies fabrication files.</summary>
    /// <param name="json">UTF-8.</param>
    public static Reading<FabricationDescription> ReadDescription(ReadOnlyMemory<byte> json) => throw new NotImplementedException();
}
