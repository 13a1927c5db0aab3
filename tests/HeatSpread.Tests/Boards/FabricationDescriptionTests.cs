using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Boards;

public sealed class FabricationDescriptionTests
{
    private const string Description = """
        {
          "name": "imported", "unit": "mm",
          "stack": [ { "kind": "copper", "name": "L1", "thicknessUm": 35 }, { "kind": "dielectric", "thicknessUm": 1500 }, { "kind": "copper", "name": "L2", "thicknessUm": 35 } ],
          "parts": [ { "id": "U1", "watts": 1.2 } ],
          "files": [ { "file": "top.gbr", "layer": "L1" }, { "file": "all.drl", "drill": { "from": "L1", "to": "L2", "plated": true } }, { "file": "edge.gbr", "profile": true } ]
        }
        """;

    [Fact]
    public void Parts_may_name_only_id_and_watts_and_the_outline_may_be_left_out()
    {
        var description = LayoutReader.ReadDescription(Sample.Utf8(Description)).Value!;

        Assert.Null(description.Outline);
        Assert.Equal(("U1", 1.2), (description.Parts[0].Id, description.Parts[0].Watts));
        Assert.Null(description.Parts[0].Body);
        Assert.Equal(new DrillRoleDocument("L1", "L2", true), description.Files[1].Drill);
        Assert.True(description.Files[2].Profile);
        Assert.Null(LayoutReader.ReadDescription(Sample.Utf8("{}")).Value!.Stack);
    }

    [Theory]
    [InlineData("/copper", "[]", "/copper", "not a known key")]
    [InlineData("/vias", "[]", "/vias", "not a known key")]
    [InlineData("/files/0/layer", null, "/files/0", "Exactly one of `layer`, `drill`, `profile` must be given; found none")]
    [InlineData("/files/0/profile", "true", "/files/0", "found `layer`, `profile`")]
    [InlineData("/files/2/profile", "false", "/files/2/profile", "must be true")]
    [InlineData("/files/0/file", null, "/files/0", "`file` must be given")]
    [InlineData("/files/1/drill/plated", "1", "/files/1/drill/plated", "true or false")]
    [InlineData("/stack/1/thicknessUm", "-1", "/stack/1/thicknessUm", "greater than 0")]
    [InlineData("/parts/0/watts", "-1", "/parts/0/watts", "at least 0")]
    [InlineData("/unit", "\"mil\"", "/unit", "one of `mm`, `inch`")]
    public void Each_fault_is_told_once_at_its_place(string edit, string? value, string pointer, string detail)
    {
        var fault = Assert.Single(LayoutReader.ReadDescription(Sample.Edited(Description, (edit, value))).Faults);

        Assert.Equal(pointer, fault.Pointer);
        Assert.Contains(detail, fault.Detail, StringComparison.Ordinal);
    }
}
