using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Boards;

public sealed class MaterialTests
{
    [Fact]
    public void Glass_and_resin_give_a_laminate_between_its_bounds()
    {
        var row = Row("""{ "glassShare": 0.5, "resinConductivity": 0.2, "glassConductivity": 1.0 }""");
        Assert.Equal(0.6, row.Fill.InPlane, 1e-12); // side by side
        Assert.Equal(1 / 3.0, row.Fill.Through, 1e-12); // one after the other: 1 / (0.5 / 1 + 0.5 / 0.2)
        Assert.Null(row.FillCurve);
        Assert.Equal(new Conductivity(0.2, 0.2), Row("""{ "glassShare": 0 }""").Fill);
    }

    [Fact]
    public void A_material_may_change_with_each_kelvin()
    {
        var row = Row("""{ "inPlane": 20, "through": 10, "perKelvin": -0.002, "atCelsius": 50 }""");
        Assert.Equal(new Conductivity(20, 10), row.Fill);
        Assert.Equal(1, row.FillCurve!.At(50).InPlane, 1e-12);
        Assert.Equal(0.9, row.FillCurve.At(100).Through, 1e-12);
        Assert.Equal(0.05, row.FillCurve.At(900).InPlane, 1e-12); // never below a twentieth
    }

    [Fact]
    public void A_table_is_straight_between_its_points_and_even_beyond()
    {
        var row = Row("""{ "table": [{ "celsius": 0, "inPlane": 30, "through": 3 }, { "celsius": 100, "inPlane": 20, "through": 4 }] }""");
        Assert.Equal(27.5, row.Fill.InPlane, 1e-12);
        Assert.Equal(20, row.Fill.InPlane * row.FillCurve!.At(300).InPlane, 1e-12);
        Assert.Equal(3.5, row.Fill.Through * row.FillCurve.At(50).Through, 1e-12);
    }

    [Fact]
    public void Built_in_materials_say_their_range_of_temperature_and_every_source()
    {
        Assert.All(Materials.BuiltIn, material =>
        {
            Assert.True(material.FromCelsius < material.ToCelsius);
            Assert.True(material.JoulesPerCubicMeterKelvin > 0);
            Assert.NotEmpty(material.HeatCapacitySource);
            Assert.Equal(material.Curve is null, material.CurveSource is null);
        });
        Assert.Equal(1, Materials.Find("alumina")!.Curve!.At(26.85).Through, 1e-12);
        Assert.Null(Materials.Find("copper")!.Curve); // 390 W/(m·K) whatever its temperature
    }

    [Theory]
    [InlineData("""{ "inPlane": 1 }""", "", "`through` must be given")]
    [InlineData("""{ "inPlane": 1, "through": 1, "glassShare": 0.5 }""", "/inPlane", "does not belong to a material that has a `glassShare`")]
    [InlineData("""{ "glassShare": 1.5 }""", "/glassShare", "between 0 and 1; found 1.5")]
    [InlineData("""{ "inPlane": 1, "through": 1, "perKelvin": 2 }""", "/perKelvin", "within ±0.05 per kelvin; found 2")]
    [InlineData("""{ "inPlane": 1, "through": 1, "resinConductivity": 0.2 }""", "/resinConductivity", "neither `glassShare` nor `table`")]
    [InlineData("""{ "table": [] }""", "/table", "at least one temperature")]
    [InlineData("""{ "table": [{ "celsius": 50, "inPlane": 1, "through": 1 }, { "celsius": 25, "inPlane": 1, "through": 1 }] }""", "/table/1/celsius", "must ascend; found 25 after 50")]
    [InlineData("""{ "table": [{ "celsius": 50, "inPlane": 0, "through": 1 }] }""", "/table/0/inPlane", "greater than 0")]
    public void Each_fault_stands_at_its_place(string material, string pointer, string detail)
    {
        var faults = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/materials/core-x", material))).Faults;
        Assert.Contains(faults, fault => fault.Pointer == "/materials/core-x" + pointer && fault.Detail.Contains(detail, StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("""{"glassShare":0.5,"resinConductivity":0.2,"glassConductivity":1,"perKelvin":0.001,"atCelsius":30}""")]
    [InlineData("""{"table":[{"celsius":0,"inPlane":30,"through":3},{"celsius":100,"inPlane":20,"through":4}]}""")]
    [InlineData("""{"inPlane":0.9,"through":0.35}""")]
    public void What_is_written_is_what_was_read(string material)
    {
        var document = LayoutReader.Read(Sample.Edited(Sample.Layout, ("/materials/core-x", material))).Value!;
        Assert.Contains("\"core-x\":" + material, System.Text.Encoding.UTF8.GetString(LayoutWriter.Write(document)), StringComparison.Ordinal);
    }

    /// <summary>The sample's third row, of that material.</summary>
    private static StackRow Row(string material) => LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/materials/core-x", material))).Board!.Rows[2];
}
