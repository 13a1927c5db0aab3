namespace HeatSpread.Boards;

/// <summary>Reads conditions from JSON, strictly, for one board.</summary>
public static class ConditionsReader
{
    /// <param name="json">The value of <c>conditions</c>.</param>
    /// <param name="pointer">Where it stands in what was posted, e.g. <c>/conditions</c>; it begins the pointer of each fault.</param>
    /// <param name="board">Whose parts and side lengths it refers to.</param>
    /// <param name="unit">The unit of plan coordinates in it: the layout's.</param>
    public static Reading<Conditions> Read(System.Text.Json.JsonElement json, string pointer, Board board, string unit) => throw new NotImplementedException();
}
