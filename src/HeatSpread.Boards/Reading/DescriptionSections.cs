using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>The description that accompanies fabrication files, from its JSON.</summary>
internal static class DescriptionSections
{
    private static readonly string[] Keys = ["name", "revision", "unit", "outline", "materials", "stack", "nets", "parts", "probes", "files"];
    private static readonly string[] FileKeys = ["file", "layer", "drill", "profile"];
    private static readonly string[] DrillKeys = ["from", "to", "plated"];

    public static FabricationDescription Read(JsonElement json, JsonPointer at, ReadingState state)
    {
        var (members, limits) = (new JsonMembers(json, at, state, Keys), state.Limits);
        return new FabricationDescription
        {
            Name = members.Text("name") ?? "",
            Revision = members.Text("revision") ?? "",
            Unit = members.Text("unit") ?? "mm",
            Outline = members.Region("outline"),
            Materials = members.Map("materials", limits.Materials, nameof(limits.Materials), MaterialSection.Read),
            Stack = members.Has("stack") ? members.List("stack", limits.StackRows, nameof(limits.StackRows), LayoutSections.ReadStackRow) : null,
            Nets = members.List("nets", limits.Nets, nameof(limits.Nets), LayoutSections.ReadNet),
            Parts = members.List("parts", limits.Parts, nameof(limits.Parts), PartSection.ReadPart),
            Probes = members.List("probes", limits.Probes, nameof(limits.Probes), LayoutSections.ReadProbe),
            Files = members.List("files", limits.Files, nameof(limits.Files), ReadFile),
        };
    }

    private static FileRoleDocument ReadFile(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, FileKeys);
        members.RequireExactlyOne("layer", "drill", "profile");
        bool? profile = members.Flag("profile");
        if (profile == false) state.Faults.Add(at["profile"], "`profile` must be true where it is given; found false.");
        return new FileRoleDocument
        {
            File = members.RequiredText("file"),
            Layer = members.Has("layer") ? members.RequiredText("layer") : null,
            Drill = members.Has("drill") ? ReadDrill(members.Value("drill"), at["drill"], state) : null,
            Profile = profile ?? false,
        };
    }

    private static DrillRoleDocument ReadDrill(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, DrillKeys);
        return new DrillRoleDocument(members.Text("from"), members.Text("to"), members.Flag("plated"));
    }
}
