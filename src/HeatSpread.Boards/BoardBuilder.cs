namespace HeatSpread.Boards;

/// <summary>Makes a <see cref="Board"/> of a layout, or lists every fault of it.</summary>
public static class BoardBuilder
{
    public static Reading<Board> Build(LayoutDocument document) => throw new NotImplementedException();
}
