namespace HeatSpread.Boards;

/// <summary>Materials by name: the document's own, which go before built-in ones of the same name.</summary>
internal sealed class MaterialTable(IReadOnlyDictionary<string, Conductivity> own, JsonPointer at, FaultCollector faults)
{
    /// <summary>The material's conductivity; a stand-in, with a fault, where it is unknown.</summary>
    public Conductivity Resolve(string name, JsonPointer nameAt)
    {
        if (own.TryGetValue(name, out var conductivity)) return conductivity;
        if (Materials.Find(name) is { } builtIn) return builtIn.Conductivity;
        var known = own.Keys.Concat(Materials.BuiltIn.Select(material => material.Name)).ToList();
        if (!faults.IsUnreadable(at))
            faults.Add(nameAt, $"Must name a material of `materials` or a built-in one; there is no {Phrase.Quoted(name)}.{Phrase.Suggestion(name, known)} Known are {Phrase.List(known)}.");
        return new Conductivity(double.NaN, double.NaN);
    }
}
