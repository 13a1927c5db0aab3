using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Import.Fuzzing;

/// <summary>A few thousand harmed files of each format; the benchmark program's <c>fuzz</c> runs as many as are asked for.</summary>
public sealed class HarmedFileTests
{
    [Theory]
    [InlineData("json", 1500)]
    [InlineData("zip", 3000)]
    [InlineData("gerber", 600)]
    [InlineData("excellon", 1500)]
    [InlineData("ipc2581", 400)]
    [InlineData("placement", 1500)]
    [InlineData("netlist", 1500)]
    public void Harmed_files_are_read_or_refused(string reader, int count)
    {
        var random = new Random(20261127);
        int taken = 0;
        for (int i = 0; i < count; i++)
        {
            if (HarmedFiles.Read(reader, HarmedFiles.Make(reader, random))) taken++;
        }
        Assert.InRange(taken, 1, count);
    }

    [Fact]
    public void Requests_and_archives_are_sound_before_they_are_harmed()
    {
        Assert.True(HarmedFiles.Read("json", System.Text.Encoding.UTF8.GetBytes(HarmedSeeds.Request)));
        Assert.True(HarmedFiles.Read("zip", HarmedSeeds.Archives[0]));
    }

    [Fact]
    public void Harmed_boards_end_in_a_layout_that_passes_the_checks_or_in_faults()
    {
        var random = new Random(20261127);
        int layouts = 0;
        for (int i = 0; i < 200; i++)
        {
            var result = HarmedFiles.ImportBoard(random);
            Assert.Equal(result.Layout is null, result.Faults.Count > 0);
            if (result.Layout is null) continue;
            layouts++;
            var faults = BoardBuilder.Build(result.Layout).Faults;
            Assert.True(faults.Count == 0, $"board {i}: {string.Join("; ", faults.Take(3))}");
        }
        Assert.InRange(layouts, 20, 199);
    }
}
