using System.Text;
using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Boards;

public sealed class LayoutReadingTests
{
    [Fact]
    public void The_sample_layout_is_sound()
    {
        var reading = LayoutReading.ReadBoard(Sample.Utf8(Sample.Layout));

        Assert.Empty(reading.Faults);
        Assert.NotNull(reading.Document);
        Assert.NotNull(reading.Board);
    }

    [Theory]
    [InlineData("/colour", "\"red\"", "/colour", "not a known key")]
    [InlineData("/unit", "\"cm\"", "/unit", "`mm`, `inch`")]
    [InlineData("/name", "3", "/name", "Must be a string; found 3")]
    [InlineData("/outline", null, "", "`outline` must be given")]
    [InlineData("/stack/1/thicknessUm", "-50", "/stack/1/thicknessUm", "greater than 0; found -50")]
    [InlineData("/stack/1/thicknessUm", "0", "/stack/1/thicknessUm", "greater than 0; found 0")]
    [InlineData("/stack/1/thicknessUm", null, "/stack/1", "`thicknessUm` must be given")]
    [InlineData("/stack/1/thicknessUm", "\"NaN\"", "/stack/1/thicknessUm", "finite number; found the string \"NaN\"")]
    [InlineData("/stack/1/thicknessUm", "1e999", "/stack/1/thicknessUm", "range of a double; found 1e999")]
    [InlineData("/copper/0/area/coordinates/0", "[[0,0],[10,10],[10,0],[0,10],[0,0]]", "/copper/0/area/coordinates/0", "must not cross itself; edge 0, from [0, 0] to [10, 10], and edge 2, from [10, 0] to [0, 10], cross at [5, 5]")]
    [InlineData("/copper/0/area/coordinates/0", "[[0,0],[10,0],[10,10],[0,10]]", "/copper/0/area/coordinates/0", "must be closed")]
    [InlineData("/copper/0/net", "\"GMD\"", "/copper/0/net", "Did you mean `GND`?")]
    [InlineData("/parts/1/id", "\"U1\"", "/parts/1/id", "already stands at /parts/0/id")]
    [InlineData("/parts/0/terminals/0/pad/coordinates/0", "[[-1,1],[3,1],[3,3],[-1,3],[-1,1]]", "/parts/0/terminals/0/pad", "wholly on the board; it reaches outside the outline at [-1, 1]")]
    [InlineData("/vias/0/to", "\"L9\"", "/vias/0/to", "there is no \"L9\"")]
    [InlineData("/vias/0/from", "\"L3\"", null, null)]
    public void Each_fault_is_told_at_its_place(string edit, string? value, string? pointer, string? detail)
    {
        var reading = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, (edit, value)));

        if (pointer is null)
        {
            Assert.Empty(reading.Faults);
            return;
        }
        var fault = Assert.Single(reading.Faults);
        Assert.Equal(pointer, fault.Pointer);
        Assert.Contains(detail!, fault.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Conditions_of_the_sample_are_sound()
    {
        var board = LayoutReading.ReadBoard(Sample.Utf8(Sample.Layout)).Board!;
        using var json = PostedJson.Parse(Sample.Utf8(Sample.Conditions)).Value!;

        var reading = ConditionsReader.Read(json.RootElement, "/conditions", board, "mm");

        Assert.Empty(reading.Faults);
        Assert.Equal(1.9, reading.Value!.Watts[0]);
    }

    [Fact]
    public void Written_layouts_read_back_and_write_the_same()
    {
        var document = LayoutReading.ReadBoard(Sample.Utf8(Sample.Layout)).Document!;

        byte[] written = LayoutWriter.Write(document);
        byte[] again = LayoutWriter.Write(LayoutReader.Read(written).Value!);

        Assert.Equal(Encoding.UTF8.GetString(written), Encoding.UTF8.GetString(again));
    }
}
