namespace HeatSpread.Boards;

/// <summary>Materials by name: the document's own, which go before built-in ones of the same name.</summary>
internal sealed class MaterialTable(IReadOnlyDictionary<string, Conductivity> own, JsonPointer at, FaultCollector faults)
{
    private static Conductivity Unknown => new(double.NaN, double.NaN);

    /// <summary>The material's conductivity; a stand-in, with a fault, where it is unknown.</summary>
    public Conductivity Resolve(string name, JsonPointer nameAt)
    {
        if (own.TryGetValue(name, out var conductivity)) return conductivity;
        if (Materials.Find(name) is { } builtIn) return builtIn.Conductivity;
        if (faults.IsUnreadable(at)) return Unknown;
        var known = own.Keys.Concat(Materials.BuiltIn.Select(material => material.Name)).ToList();
        faults.Add(nameAt, $"Must name a material of `materials` or a built-in one; there is no {Phrase.Quoted(name)}.{Phrase.Suggestion(name, known)} Known are {Phrase.List(known)}.");
        return Unknown;
    }
}
