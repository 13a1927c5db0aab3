namespace HeatSpread.Boards;

/// <summary>Drilled holes: their span, their metal and their places.</summary>
internal static class ViaBuilder
{
    /// <summary>Of plating and of the fill <c>copper</c>, W/(m·K).</summary>
    private const double CopperConductivity = 390;

    /// <summary>Of the fill <c>resin</c>, W/(m·K).</summary>
    private const double ResinConductivity = 0.3;

    public static IReadOnlyList<ViaGroup> Build(IReadOnlyList<ViaDocument> vias, JsonPointer at, Plan plan, BoardNames names, OutlineIndex? outline)
    {
        var groups = new List<ViaGroup>(vias.Count);
        long holes = 0;
        for (int i = 0; i < vias.Count; i++)
        {
            bool before = holes > plan.Limits.Holes;
            holes += HoleCount(vias[i]);
            if (holes <= plan.Limits.Holes)
                groups.Add(Group(vias[i], at[i], plan, names, outline));
            else if (!before)
                plan.Faults.Add(at[i], $"A layout may have at most {plan.Limits.Holes} holes (limit Holes); this is where it exceeds them.");
        }
        if (vias.Count > 0 && names.HasNoCopper)
            plan.Faults.Add(at, "A hole joins copper layers, but `stack` has no copper row.");
        return groups;
    }

    private static long HoleCount(ViaDocument via) => via.Array is { } array ? (long)array.Columns * array.Rows : via.At?.Count ?? 0;

    private static ViaGroup Group(ViaDocument via, JsonPointer at, Plan plan, BoardNames names, OutlineIndex? outline)
    {
        var (from, to) = Span(via, at, plan.Faults, names);
        if (via.Drill > 0 && via.PlatingUm * 1e-6 > plan.ToMetres(via.Drill) / 2 * (1 + 1e-9))
            plan.Faults.Add(at["platingUm"], $"Plating lies inside the drilled hole, so it may be at most {Phrase.Number(plan.ToMetres(via.Drill) / 2 * 1e6)} µm, half the drill; found {Phrase.Number(via.PlatingUm)}.");
        return new ViaGroup
        {
            Net = names.Net(via.Net, at["net"]),
            FromLayer = from,
            ToLayer = to,
            Drill = plan.ToMetres(via.Drill),
            Plating = Math.Min(via.PlatingUm * 1e-6, plan.ToMetres(via.Drill) / 2),
            PlatingConductivity = via.PlatingConductivity ?? CopperConductivity,
            FillConductivity = via.FillConductivity ?? via.Fill switch { "copper" => CopperConductivity, "resin" => ResinConductivity, _ => 0 },
            Pad = plan.ToMetres(via.Pad),
            Clearance = plan.ToMetres(via.Clearance),
            At = plan.ToMetres(Places(via, at, plan, outline)),
        };
    }

    private static (int From, int To) Span(ViaDocument via, JsonPointer at, FaultCollector faults, BoardNames names)
    {
        int from = via.From is { } upper ? names.Layers.Resolve(upper, at["from"]) : 0;
        int to = via.To is { } lower ? names.Layers.Resolve(lower, at["to"]) : names.CopperLayers.Count - 1;
        if (from >= 0 && to >= 0 && from > to)
            faults.Add(at, $"A via must run from an upper to a lower copper layer; found from {Phrase.Quoted(names.CopperLayers[from].Name)} to {Phrase.Quoted(names.CopperLayers[to].Name)}, which lies above it.");
        if (from >= 0 && from == to && names.CopperLayers.Count > 1)
            faults.Add(at[via.To is null ? "from" : "to"], $"A via must join two copper layers at least; it would begin and end on {Phrase.Quoted(names.CopperLayers[from].Name)}.");
        return (from, to);
    }

    /// <summary>The centres, each checked to lie on the board (a hole cut by the board's edge is legal).</summary>
    private static IReadOnlyList<Point> Places(ViaDocument via, JsonPointer at, Plan plan, OutlineIndex? outline)
    {
        if (via.At is null && via.Array is null) plan.Faults.Add(at, "Exactly one of `at`, `array` must be given; found none.");
        if (via.Array is { } array) return ArrayPlaces(array, at["array"], plan, outline);
        var places = via.At ?? [];
        for (int i = 0; i < places.Count; i++)
        {
            var place = at["at"][i];
            if (plan.CheckPosition(places[i], place) && outline?.Holds(places[i]) == false)
                plan.Faults.Add(place, $"A hole's centre must lie on the board; {Phrase.Of(places[i])} is outside the outline.");
        }
        return places;
    }

    private static List<Point> ArrayPlaces(ViaArrayDocument array, JsonPointer at, Plan plan, OutlineIndex? outline)
    {
        var places = new List<Point>();
        for (int row = 0; row < array.Rows; row++)
            for (int column = 0; column < array.Columns; column++)
                places.Add(new Point(array.Origin.X + column * array.PitchX, array.Origin.Y + row * array.PitchY));
        if (places.Count == 0 || !plan.CheckPosition(places[0], at["origin"]) || !plan.CheckPosition(places[^1], at["pitch"]) || outline is null) return places;
        var outside = places.Where(place => !outline.Holds(place)).ToList();
        if (outside.Count > 0)
            plan.Faults.Add(at, $"Every hole's centre must lie on the board; {outside.Count} of the {places.Count} are outside the outline, the first at {Phrase.Of(outside[0])}.");
        return places;
    }
}
