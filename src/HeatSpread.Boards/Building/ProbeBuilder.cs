namespace HeatSpread.Boards;

/// <summary>The places whose temperature is asked for.</summary>
internal static class ProbeBuilder
{
    public static IReadOnlyList<Probe> Build(IReadOnlyList<ProbeDocument> probes, JsonPointer at, Plan plan, BoardNames names, OutlineIndex? outline)
    {
        var taken = new NameTable("probe", "`probes`", plan.Faults);
        var built = new List<Probe>(probes.Count);
        for (int i = 0; i < probes.Count; i++)
        {
            var (probe, here) = (probes[i], at[i]);
            taken.Add(probe.Name, i, here["name"]);
            if (plan.CheckPosition(probe.At, here["at"]) && outline?.Holds(probe.At) == false)
                plan.Faults.Add(here["at"], $"A probe must lie on the board; {Phrase.Of(probe.At)} is outside the outline.");
            built.Add(new Probe(probe.Name, names.Layers.Resolve(probe.Layer, here["layer"]), plan.ToMetres(probe.At)));
        }
        return built;
    }
}
