namespace HeatSpread.Boards;

/// <summary>What is painted on the copper layers.</summary>
internal static class CopperBuilder
{
    public static IReadOnlyList<CopperFeature> Build(IReadOnlyList<CopperDocument> copper, JsonPointer at, Plan plan, BoardNames names)
    {
        var features = new List<CopperFeature>(copper.Count);
        for (int i = 0; i < copper.Count; i++) features.Add(Feature(copper[i], at[i], plan, names));
        return features;
    }

    /// <remarks>A net or a clearance on a clearing feature says nothing, but contradicts nothing either: it is let pass, and left out.</remarks>
    private static CopperFeature Feature(CopperDocument copper, JsonPointer at, Plan plan, BoardNames names)
    {
        if (copper.Area is { } area) plan.CheckRegion(area, at["area"]);
        if (copper.Track is { } track) CheckPath(track.Path, at["track"]["path"], plan);
        if (copper.Area is null && copper.Track is null) plan.Faults.Add(at, "Exactly one of `area`, `track` must be given; found none.");
        int net = names.Net(copper.Net, at["net"]);
        return new CopperFeature
        {
            Layer = names.Layers.Resolve(copper.Layer, at["layer"]),
            Net = copper.Clear ? -1 : net,
            IsClear = copper.Clear,
            Area = copper.Area is { } region ? plan.ToMetres(region) : null,
            Track = copper.Track is { } line ? new Track(plan.ToMetres(line.Path), plan.ToMetres(line.Width)) : null,
            Clearance = copper.Clear ? 0 : plan.ToMetres(copper.Clearance),
        };
    }

    private static void CheckPath(IReadOnlyList<Point> path, JsonPointer at, Plan plan)
    {
        for (int i = 0; i < path.Count; i++) plan.CheckPosition(path[i], at[i]);
    }
}
