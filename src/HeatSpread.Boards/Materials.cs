namespace HeatSpread.Boards;

/// <param name="Name">As used in documents.</param>
/// <param name="Conductivity">Used where nothing else is said.</param>
/// <param name="Range">The spread found in practice, W/(m·K), as text.</param>
/// <param name="Source">Where the value comes from.</param>
public sealed record Material(string Name, Conductivity Conductivity, string Range, string Source);

/// <summary>The built-in materials.</summary>
public static class Materials
{
    public static IReadOnlyList<Material> BuiltIn => throw new NotImplementedException();
}
