using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>The sections of a layout, each from its JSON to its document record. Faulty values come as stand-ins (<see cref="JsonMembers"/>).</summary>
internal static class LayoutSections
{
    private static readonly string[] LayoutKeys = ["name", "revision", "unit", "outline", "materials", "stack", "nets", "copper", "vias", "parts", "probes"];
    private static readonly string[] ConductivityKeys = ["inPlane", "through"];
    private static readonly string[] StackRowKeys = ["kind", "name", "thicknessUm", "material", "conductivity", "between"];
    private static readonly string[] NetKeys = ["name", "keepApartFrom", "fixedArea"];
    private static readonly string[] CopperKeys = ["layer", "net", "area", "track", "clear", "clearance"];
    private static readonly string[] TrackKeys = ["path", "width"];
    private static readonly string[] ViaKeys = ["net", "from", "to", "drill", "platingUm", "platingConductivity", "fill", "pad", "clearance", "at", "array"];
    private static readonly string[] FillKeys = ["conductivity"];
    private static readonly string[] ArrayKeys = ["origin", "columns", "rows", "pitch"];
    private static readonly string[] ProbeKeys = ["name", "layer", "at"];

    public static LayoutDocument ReadLayout(JsonElement json, JsonPointer at, ReadingState state)
    {
        var (members, limits) = (new JsonMembers(json, at, state, LayoutKeys), state.Limits);
        return new LayoutDocument
        {
            Name = members.Text("name") ?? "",
            Revision = members.Text("revision") ?? "",
            Unit = members.Text("unit") ?? "mm",
            Outline = members.RequiredRegion("outline"),
            Materials = members.Map("materials", limits.Materials, nameof(limits.Materials), MaterialSection.Read),
            Stack = members.RequiredList("stack", limits.StackRows, nameof(limits.StackRows), ReadStackRow),
            Nets = members.List("nets", limits.Nets, nameof(limits.Nets), ReadNet),
            Copper = members.List("copper", limits.CopperFeatures, nameof(limits.CopperFeatures), ReadCopper),
            Vias = members.List("vias", limits.Holes, nameof(limits.Holes), ReadVia),
            Parts = members.List("parts", limits.Parts, nameof(limits.Parts), PartSection.ReadPart),
            Probes = members.List("probes", limits.Probes, nameof(limits.Probes), ReadProbe),
        };
    }

    public static Conductivity ReadConductivity(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, ConductivityKeys);
        return new Conductivity(members.RequiredNumber("inPlane"), members.RequiredNumber("through"));
    }

    public static StackRowDocument ReadStackRow(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, StackRowKeys);
        string kind = members.RequiredText("kind");
        bool isCopper = kind == "copper", isSolid = kind is "mask" or "dielectric"; // of another kind nothing can be said of its stuff
        if (isCopper) members.RequiredText("name");
        if (isSolid && members.Has("between")) state.Faults.Add(at["between"], "`between` belongs to rows of kind `copper` alone: other rows are of one material.");
        if (members.Has("material") && members.Has("conductivity"))
            state.Faults.Add(at, "At most one of `material`, `conductivity` may be given; found both.");
        return new StackRowDocument
        {
            Kind = kind,
            Name = members.Text("name"),
            ThicknessUm = members.RequiredNumber("thicknessUm"),
            Material = members.Text("material"),
            Between = members.Text("between"),
            CopperConductivity = isCopper ? members.Number("conductivity") : null,
            Conductivity = isSolid && members.Has("conductivity") ? ReadConductivity(members.Value("conductivity"), at["conductivity"], state) : null,
        };
    }

    public static NetDocument ReadNet(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, NetKeys);
        return new NetDocument(
            members.RequiredText("name"),
            members.List("keepApartFrom", state.Limits.Nets, nameof(state.Limits.Nets), JsonMembers.ReadText),
            members.Flag("fixedArea") ?? false);
    }

    public static ProbeDocument ReadProbe(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, ProbeKeys);
        return new ProbeDocument(members.RequiredText("name"), members.RequiredText("layer"), members.RequiredPosition("at"));
    }

    public static CopperDocument ReadCopper(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, CopperKeys);
        members.RequireExactlyOne("area", "track");
        return new CopperDocument
        {
            Layer = members.RequiredText("layer"),
            Net = members.Text("net"),
            Clear = members.Flag("clear") ?? false,
            Area = members.Region("area"),
            Track = members.Has("track") ? ReadTrack(members.Value("track"), at["track"], state) : null,
            Clearance = members.Number("clearance") ?? 0,
        };
    }

    private static TrackDocument ReadTrack(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, TrackKeys);
        return new TrackDocument(ReadPath(members, "path", at, state), members.RequiredNumber("width"));
    }

    public static ViaDocument ReadVia(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, ViaKeys);
        members.RequireExactlyOne("at", "array");
        var (fill, fillConductivity) = ReadFill(members, at, state);
        return new ViaDocument
        {
            Net = members.Text("net"),
            From = members.Text("from"),
            To = members.Text("to"),
            Drill = members.RequiredNumber("drill"),
            PlatingUm = members.Number("platingUm") ?? 25,
            PlatingConductivity = members.Number("platingConductivity"),
            Fill = fill,
            FillConductivity = fillConductivity,
            Pad = members.Number("pad") ?? 0,
            Clearance = members.Number("clearance") ?? 0,
            At = members.Has("at") ? ReadPath(members, "at", at, state) : null,
            Array = members.Has("array") ? ReadArray(members.Value("array"), at["array"], state) : null,
        };
    }

    /// <summary>A named fill, or the conductivity of one of the user's own.</summary>
    private static (string? Name, double? Conductivity) ReadFill(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (!members.Has("fill")) return ("none", null);
        var value = members.Value("fill");
        if (value.ValueKind != JsonValueKind.Object) return (members.Text("fill"), null);
        return (null, new JsonMembers(value, at["fill"], state, FillKeys).RequiredNumber("conductivity"));
    }

    private static ViaArrayDocument ReadArray(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, ArrayKeys);
        var pitch = members.RequiredPosition("pitch");
        return new ViaArrayDocument(members.RequiredPosition("origin"), members.RequiredCount("columns"), members.RequiredCount("rows"), pitch.X, pitch.Y);
    }

    /// <summary>At least one position; empty where they cannot be read.</summary>
    private static Point[] ReadPath(JsonMembers members, string key, JsonPointer at, ReadingState state)
    {
        if (!members.Require(key)) return [];
        var path = RegionReader.ReadPositions(members.Value(key), at[key], state);
        if (path is null) state.Faults.MarkUnreadable(at[key]);
        return path ?? [];
    }
}
