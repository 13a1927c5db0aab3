using HeatSpread.Boards;
using HeatSpread.Import;
using HeatSpread.Import.Excellon;
using Xunit;

namespace HeatSpread.Tests.Import;

/// <summary>XNC (Ucamco) and the Excellon dialects listed in common practice, places worked out by hand.</summary>
public sealed class ExcellonReaderTests
{
    private static DrillFile Read(string text, Box? extent = null) => Read(text, out _, extent);

    private static DrillFile Read(string text, out IReadOnlyList<string> warnings, Box? extent = null, ImportLimits? limits = null)
    {
        var notes = new FileNotes("test.drl");
        var file = DrillFormatChooser.Read(text, extent, notes, limits ?? new ImportLimits(), CancellationToken.None);
        var all = new ImportNotes();
        notes.WriteTo(all);
        warnings = all.Warnings;
        return file;
    }

    private static Point[] Places(DrillFile file) => [.. file.Holes.Select(h => h.At)];

    [Fact]
    public void Xnc_is_read_without_a_warning()
    {
        var file = Read("M48\nMETRIC\n; #@! TF.FileFunction,Plated,1,4,PTH\n; #@! TA.AperFunction,Plated,PTH,ViaDrill\nT01C0.3\n; #@! TA.AperFunction,NonPlated,NPTH,ComponentDrill\nT02C3.2\n%\nG05\nT01\nX1.5Y2.0\nY-3.25\nT02\nX0.0Y0.0\nM30\n", out var warnings);
        Assert.Equal([new(1.5, 2), new(1.5, -3.25), new(0, 0)], Places(file));
        Assert.Equal([0.3, 0.3, 3.2], file.Holes.Select(h => h.Diameter));
        Assert.Equal([true, true, false], file.Holes.Select(h => h.IsPlated));
        Assert.Equal("Plated", file.FileAttributes[".FileFunction"][0]);
        Assert.Empty(warnings);
    }

    [Theory]
    [InlineData("INCH,TZ", "X10000Y5000", 25.4, 12.7)]
    [InlineData("INCH,LZ", "X01Y005", 25.4, 12.7)]
    [InlineData("METRIC,TZ", "X1500Y-500", 1.5, -0.5)]
    [InlineData("METRIC,LZ", "X0015Y-0005", 1.5, -0.5)]
    [InlineData("METRIC,TZ,000.00", "X1500Y500", 15, 5)]
    [InlineData(";FILE_FORMAT=4:4\nMETRIC,LZ", "X0035Y0007725", 35, 7.725)]
    [InlineData("; FORMAT={2:4/ absolute / inch / suppress leading zeros}\nINCH", "X10000Y5000", 25.4, 12.7)]
    [InlineData("METRIC,TZ", "X1.5Y-.5", 1.5, -0.5)]
    public void Numbers_without_a_point_follow_the_header(string header, string place, double x, double y)
    {
        var file = Read($"M48\n{header}\nT1C0.3\n%\nT1\n{place}\nM30\n");
        Assert.Equal(new Point(x, y), file.Holes[0].At);
    }

    [Fact]
    public void M71_and_M72_set_the_unit_in_the_body() => Assert.Equal([new(25.4, 0), new(1, 0)], Places(Read("M48\nT1C0.01\n%\nM72\nT1\nX1.0Y0.0\nM71\nX1.0Y0.0\nM30")));

    [Fact]
    public void Undeclared_digits_are_inferred_from_the_extent_and_told()
    {
        // With the usual 2.4 digits of inch files the board would be 1.4 m wide; with 2.5 the holes fit.
        const string Text = "M48\nINCH\nT1C0.3\n%\nT1\nX100000Y50000\nX400000Y300000\nX550000Y100000\nX50000Y350000\nM30\n";
        var file = Read(Text, out var warnings, new Box(0, 0, 150, 100));
        Assert.Equal(new Point(25.4, 12.7), file.Holes[0].At);
        Assert.Contains(warnings, w => w.Contains("does not say", StringComparison.Ordinal) && w.Contains("inch, 2.5 digits", StringComparison.Ordinal));
    }

    [Fact]
    public void An_undeclared_unit_is_inferred_from_the_extent()
    {
        const string Body = "M48\nT1C0.020\n%\nT1\nX1.0Y1.0\nX2.0Y0.5\nX2.5Y1.5\nX0.5Y1.8\nM30\n";
        Assert.Equal(new Point(25.4, 25.4), Read(Body, new Box(0, 0, 70, 50)).Holes[0].At);
        Assert.Equal(new Point(1, 1), Read(Body, new Box(0, 0, 3, 2)).Holes[0].At);
    }

    [Fact]
    public void Slots_are_drilled_or_routed()
    {
        var file = Read("M48\nMETRIC\nT1C0.6\n%\nT1\nX1.0Y1.0G85X3.0Y1.0\nG00X5.0Y0.0\nM15\nG01X6.0\nY2.0\nM16\nG05\nX9.0Y9.0\nM30");
        Assert.Equal([new(9, 9)], Places(file));
        Assert.Equal(2, file.Slots.Count);
        Assert.Equal([new(1, 1), new(3, 1)], file.Slots[0].Path);
        Assert.Equal([new(5, 0), new(6, 0), new(6, 2)], file.Slots[1].Path);
    }

    [Theory]
    [InlineData("G03X0.0Y2.0A2.0")]
    [InlineData("G03X0.0Y2.0I-2.0J0.0")]
    public void Routed_arcs_keep_their_radius(string arc)
    {
        var file = Read($"M48\nMETRIC\nT1C0.6\n%\nT1\nG00X2.0Y0.0\nM15\n{arc}\nM16\nM30");
        var path = Assert.Single(file.Slots).Path;
        Assert.True(path.Count > 5);
        Assert.All(path, p => Assert.InRange(Math.Sqrt(p.X * p.X + p.Y * p.Y), 1.999, 2.002));
        Assert.True(path[path.Count / 2] is { X: > 1, Y: > 1 });
    }

    [Fact]
    public void Holes_and_patterns_repeat()
    {
        Assert.Equal([new(1, 1), new(1.1, 1), new(1.2, 1), new(1.3, 1)], Places(Read("M48\nMETRIC\nT1C0.6\n%\nT1\nX1.0Y1.0\nR3X.1\nM30")));
        Assert.Equal([new(0, 0), new(1, 0), new(5, 0), new(6, 0), new(10, 0), new(11, 0)],
            Places(Read("M48\nMETRIC\nT1C0.6\n%\nT1\nM25\nX0.0Y0.0\nX1.0Y0.0\nM01\nM02X5.0Y0.0\nM02X5.0Y0.0\nM08\nM30")));
    }

    [Fact]
    public void Incremental_places_add_up() => Assert.Equal([new(1, 1), new(1.5, 0.75)], Places(Read("M48\nMETRIC\nT1C0.6\n%\nG91\nT1\nX1.0Y1.0\nX0.5Y-0.25\nM30")));

    [Fact]
    public void Tools_may_stand_in_the_body_and_the_header_may_be_missing() =>
        Assert.Equal([0.7112, 1.016], Read("%\nM72\nT1C0.028F200S100\nX1.0Y1.0\nT02C0.04\nX2.0Y1.0\nT0\nM30").Holes.Select(h => h.Diameter));

    [Fact]
    public void A_type_comment_holds_for_the_tools_after_it() =>
        Assert.Equal([true, false], Read("M48\nMETRIC\n;TYPE=PLATED\nT1C0.3\n;TYPE=NON_PLATED\nT2C0.9\n%\nT1\nX1.0Y1.0\nT2\nX2.0Y2.0\nM30").Holes.Select(h => h.IsPlated));

    [Fact]
    public void A_file_without_holes_is_legal() => Assert.Empty(Read("M48\nFMAT,2\nMETRIC\n%\nG90\nG05\nM30\n", out var warnings).Holes.Select(_ => warnings));

    [Fact]
    public void Tools_may_be_listed_in_comments_and_a_stop_is_no_end()
    {
        var file = Read(";T01 Holesize 1. = 10.000000 Tolerance = +0.0/-0.0 PLATED MILS Quantity = 2\n;T02 Holesize 2. = 1.000000 Tolerance = +0.0/-0.0 NON_PLATED MM Quantity = 1\n%\nG90\nMETRIC\nT01\nX1.0Y1.0\nM00\nT02\nX2.0Y2.0\nM30\n");
        Assert.Equal([new(new(1, 1), 0.254, true), new(new(2, 2), 1, false)], file.Holes);
    }

    [Theory]
    [InlineData("M48\nMETRIC\n%\nT3\nX1.0Y1.0\nM30", "line 5", "T3")]
    [InlineData("M48\nMETRIC\n%\nX1.0Y1.0\nM30", "line 4", "selected")]
    [InlineData("M48\nMETRIC\nT1C0.3\n%\nT1\nX1.0Y1.2.3\nM30", "line 6, column 6", "1.2.3")]
    [InlineData("M48\nMETRIC\nT1C0\n%\nT1\nX1.0Y1.0\nM30", "line 6", "above 0")]
    [InlineData("M48\nMETRIC\nT1C0.3\n%\nT1\nX1.0Y1.0\nR999999999X1.0\nM30", "line 7", "repeat")]
    public void What_cannot_be_read_is_a_fault_with_its_line(string text, string place, string word)
    {
        var fault = Assert.Throws<UnreadableFileException>(() => Read(text));
        Assert.Contains(place, fault.Message, StringComparison.Ordinal);
        Assert.Contains(word, fault.Message, StringComparison.Ordinal);
    }
}
