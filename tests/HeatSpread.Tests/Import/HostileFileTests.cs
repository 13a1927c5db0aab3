using System.IO.Compression;
using System.Text;
using HeatSpread.Boards;
using HeatSpread.Import;
using Xunit;
using static HeatSpread.Tests.Import.SmallBoards;

namespace HeatSpread.Tests.Import;

/// <summary>Files made to harm, and files harmed by chance: each ends in faults, none in an exception or without end.</summary>
public sealed class HostileFileTests
{
    private static readonly FabricationFile Sound = Copper(1, "%ADD20R,2X2*%D20*X5.0Y5.0D03*", "Top");

    private static FabricationFile Zip(params (string Path, byte[] Content)[] entries)
    {
        var stream = new MemoryStream();
        using (var archive = new ZipArchive(stream, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach (var (path, content) in entries)
            {
                using var entry = archive.CreateEntry(path).Open();
                entry.Write(content);
            }
        }
        return new FabricationFile("board.zip", stream.ToArray());
    }

    private static (string, byte[]) Entry(string path, FabricationFile file) => (path, file.Content.ToArray());

    private static Fault OnlyFault(ImportResult result)
    {
        Assert.Null(result.Layout);
        return Assert.Single(result.Faults);
    }

    [Fact]
    public void A_zip_of_folders_is_opened()
    {
        var result = ImportFiles(Zip(Entry("gerber/top.gbr", Sound), Entry("gerber\\edge.gbr", Profile), ("gerber/", []), ("__MACOSX/gerber/._top.gbr", [1, 2, 3])));
        Assert.Empty(result.Faults);
        Assert.Single(result.Layout!.Copper);
    }

    [Theory]
    [InlineData("../top.gbr")]
    [InlineData("a/../../top.gbr")]
    [InlineData("/etc/top.gbr")]
    [InlineData("C:\\top.gbr")]
    [InlineData("a\\..\\top.gbr")]
    public void A_path_that_leaves_its_folder_is_refused(string path)
    {
        var result = ImportFiles(Zip(Entry(path, Sound), Entry("edge.gbr", Profile)));
        Assert.Contains(result.Faults, f => f.Pointer == "/files/board.zip" && f.Detail.Contains("must stay in its folder", StringComparison.Ordinal));
    }

    [Fact]
    public void Equal_names_are_refused() =>
        Assert.Contains(ImportFiles(Zip(Entry("a/top.gbr", Sound), Entry("b/TOP.gbr", Sound), Entry("edge.gbr", Profile))).Faults, f => f.Detail.Contains("name of its own", StringComparison.Ordinal));

    [Fact]
    public void A_zip_in_a_zip_is_refused() =>
        Assert.Contains(ImportFiles(Zip(("inner.gbr", Zip(Entry("top.gbr", Sound)).Content.ToArray()), Entry("edge.gbr", Profile))).Faults, f => f.Detail.Contains("archives within archives", StringComparison.Ordinal));

    [Fact]
    public void A_bomb_is_refused_by_its_ratio_and_by_its_size()
    {
        var bomb = Zip(("top.gbr", new byte[50 << 20]), Entry("edge.gbr", Profile));
        Assert.True(bomb.Content.Length < 100_000);
        Assert.Contains(ImportFiles(bomb).Faults, f => f.Detail.Contains("times its packed size", StringComparison.Ordinal));
        var small = new ImportLimits { MaxFileBytes = 1000, MaxCompressionRatio = int.MaxValue };
        var noise = new byte[5000];
        new Random(1).NextBytes(noise);
        Assert.Contains(FabricationImport.Import(new FabricationDescription(), [Zip(("top.gbr", noise))], small, CancellationToken.None).Faults, f => f.Detail.Contains("1000 bytes at most", StringComparison.Ordinal));
        Assert.Contains(FabricationImport.Import(new FabricationDescription(), [new("top.gbr", noise)], small, CancellationToken.None).Faults, f => f.Detail.Contains("1000 bytes at most", StringComparison.Ordinal));
        var total = new ImportLimits { MaxTotalBytes = 8000 };
        Assert.Contains(FabricationImport.Import(new FabricationDescription(), [Zip(("a.gbr", noise), ("b.gbr", noise))], total, CancellationToken.None).Faults, f => f.Detail.Contains("8000", StringComparison.Ordinal));
    }

    [Fact]
    public void Too_many_files_are_refused_once()
    {
        var many = Enumerable.Range(0, 400).Select(i => ($"f{i}.txt", new byte[] { 65 })).ToArray();
        Assert.Single(ImportFiles(Zip(many)).Faults, f => f.Detail.Contains("300 files", StringComparison.Ordinal));
    }

    [Fact]
    public void A_broken_zip_is_a_fault()
    {
        var zip = Zip(Entry("top.gbr", Sound), Entry("edge.gbr", Profile)).Content.ToArray();
        Assert.Contains(ImportFiles(new FabricationFile("board.zip", zip.AsMemory(0, zip.Length / 2))).Faults, f => f.Detail.Contains("can be unpacked", StringComparison.Ordinal));
    }

    [Theory]
    [InlineData("%SRX1000000Y1000000I0.001J0.001*%D20*X5.0Y5.0D03*%SR*%")]
    [InlineData("%SRX2000Y2000I0.001J0.001*%D20*X5.0Y5.0D03*%SR*%")]
    [InlineData("%ABD30*%D20*X5.0Y5.0D03*X6.0Y5.0D03*%AB*%%ABD31*%D30*X0.0Y0.0D03*X1.0Y0.0D03*%AB*%%SRX700Y700I0.01J0.01*%D31*X0.0Y0.0D03*%SR*%")]
    public void Endless_repeats_are_refused(string body)
    {
        var fault = OnlyFault(ImportFiles(Copper(1, "%ADD20R,2X2*%" + body), Profile));
        Assert.Contains("500000", fault.Detail, StringComparison.Ordinal);
        Assert.Contains("line 3", fault.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Blocks_that_double_at_every_level_are_refused()
    {
        var body = new StringBuilder("%ADD10R,2X2*%");
        for (int i = 11; i < 60; i++) body.Append(System.Globalization.CultureInfo.InvariantCulture, $"%ABD{i}*%D{i - 1}*X0.0Y0.0D03*X0.1Y0.0D03*%AB*%");
        Assert.Contains("500000 objects", OnlyFault(ImportFiles(Copper(1, body + "D59*X0.0Y0.0D03*"), Profile)).Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void Blocks_nested_too_deep_are_refused()
    {
        var body = new StringBuilder("%ADD10R,2X2*%");
        for (int i = 11; i < 200; i++) body.Append(System.Globalization.CultureInfo.InvariantCulture, $"%ABD{i}*%");
        Assert.Contains("nested", OnlyFault(ImportFiles(Copper(1, body.ToString()), Profile)).Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void A_repeated_large_contour_is_refused_by_its_points()
    {
        var body = new StringBuilder("%SRX100Y100I0.1J0.1*%G36*X0.0Y0.0D02*");
        for (int i = 1; i < 5000; i++) body.Append(System.Globalization.CultureInfo.InvariantCulture, $"X{i}.0Y{i % 2}.5D01*");
        Assert.Contains("points", OnlyFault(ImportFiles(Copper(1, body + "X0.0Y9.0D01*G37*%SR*%"), Profile)).Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void A_contour_that_crosses_itself_without_end_is_refused()
    {
        var random = new Random(5);
        var body = new StringBuilder("G36*X0.0Y0.0D02*");
        for (int i = 1; i < 5000; i++) body.Append(System.Globalization.CultureInfo.InvariantCulture, $"X{random.Next(20)}.{random.Next(1000):000}Y{random.Next(20)}.{random.Next(1000):000}D01*");
        Assert.Contains("cross itself", OnlyFault(ImportFiles(Copper(1, body + "G37*"), Profile)).Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void A_few_hundred_crossings_are_repaired()
    {
        var random = new Random(5);
        var body = new StringBuilder("G36*X0.0Y0.0D02*");
        for (int i = 1; i < 60; i++) body.Append(System.Globalization.CultureInfo.InvariantCulture, $"X{random.Next(20)}.{random.Next(1000):000}Y{random.Next(20)}.{random.Next(1000):000}D01*");
        var result = ImportFiles(Copper(1, body + "G37*"), Profile);
        Assert.Empty(result.Faults);
        Assert.Empty(BoardBuilder.Build(result.Layout!).Faults);
    }

    [Fact]
    public void Reading_can_be_cancelled()
    {
        using var source = new CancellationTokenSource();
        source.Cancel();
        Assert.Throws<OperationCanceledException>(() => FabricationImport.Import(new FabricationDescription(), [Sound, Profile], source.Token));
    }

    [Fact]
    public void Files_harmed_by_chance_end_in_a_layout_or_in_faults()
    {
        FabricationFile[] files =
        [
            Copper(1, "%AMT*$3=$1x2*21,1,$1,$2,0,0,$3*1,0,0.2,0,0*%%ADD10C,0.2*%%ADD20R,2X2X0.5*%%ADD21T,2X1*%%ADD22P,2X6X30*%%ABD30*%D20*X1.0Y1.0D03*%AB*%"
                + "%TO.N,GND*%%TO.P,U1,1*%D21*X5.0Y5.0D03*%LR45*%%LMX*%D22*X9.0Y9.0D03*%TD*%%SRX2Y2I1J1*%D30*X3.0Y3.0D03*%SR*%D10*X2.0Y2.0D02*G75*G03X4.0Y2.0I1.0J0.0D01*G01*X8.0D01*"
                + "G36*X10.0Y10.0D02*X15.0D01*Y15.0D01*X10.0D01*Y12.0D01*X12.0D01*Y13.0D01*X13.0D01*Y12.0D01*X10.0D01*Y10.0D01*G37*%LPC*%D10*X11.0Y9.0D02*Y16.0D01*%LPD*%", "Top"),
            Copper(2, "%ADD20O,2X1*%D20*X5.0Y5.0D03*", "Bot"),
            Profile,
            Drill("b-PTH.drl", "T1\nX5.0Y5.0\nR3X1.0\nT2\nX3.0Y3.0G85X6.0Y3.0\nG00X2.0Y2.0\nM15\nG03X4.0Y2.0A1.0\nM16\nG05\nX9.0Y9.0"),
        ];
        var limits = new ImportLimits { MaxObjects = 5_000, MaxPoints = 100_000, MaxHoles = 5_000 };
        var random = new Random(20261125);
        int layouts = 0;
        for (int round = 0; round < 400; round++)
        {
            int victim = random.Next(files.Length);
            var harmed = files.Select((file, i) => i == victim ? Harm(file, random) : file).ToArray();
            var result = FabricationImport.Import(new FabricationDescription(), harmed, limits, TestContext.Current.CancellationToken);
            Assert.Equal(result.Layout is null, result.Faults.Count > 0);
            if (result.Layout is null) continue;
            layouts++;
            Assert.All(result.Layout.Copper, c => Assert.True(c.Area is not null ^ c.Track is not null));
        }
        Assert.InRange(layouts, 20, 399);
    }

    /// <summary>Changes, doubles, drops or swaps a few stretches of bytes.</summary>
    private static FabricationFile Harm(FabricationFile file, Random random)
    {
        const string Alphabet = "%*XYDGIJMTAR0123456789.-+,$()/;\n\0é";
        var bytes = file.Content.ToArray().ToList();
        for (int change = random.Next(1, 6); change > 0 && bytes.Count > 20; change--)
        {
            int at = random.Next(bytes.Count), length = Math.Min(random.Next(1, 30), bytes.Count - at);
            switch (random.Next(4))
            {
                case 0: bytes[at] = (byte)Alphabet[random.Next(Alphabet.Length)]; break;
                case 1: bytes.InsertRange(at, bytes.GetRange(at, length)); break;
                case 2: bytes.RemoveRange(at, length); break;
                default: bytes.InsertRange(at, Encoding.ASCII.GetBytes(random.Next(3) == 0 ? "-" : random.Next().ToString(System.Globalization.CultureInfo.InvariantCulture))); break;
            }
        }
        return new FabricationFile(file.Name, bytes.ToArray());
    }

    [Fact]
    public void Shapes_on_each_other_by_the_thousand_under_clears_end_in_a_fault_of_their_layer()
    {
        var body = new System.Text.StringBuilder("%ADD20C,2*%%ADD21C,0.1*%D20*");
        for (int i = 0; i < 60; i++) body.Append(System.Globalization.CultureInfo.InvariantCulture, $"X{2 + 0.01 * i:0.00}Y5.0D02*X{15 + 0.01 * i:0.00}D01*");
        body.Append("%LPC*%D21*");
        for (int i = 0; i < 60; i++) body.Append(System.Globalization.CultureInfo.InvariantCulture, $"X{2 + 0.2 * i:0.00}Y3.0D02*Y7.0D01*");
        FabricationFile[] files = [SmallBoards.Copper(1, body.ToString(), "Top"), SmallBoards.Copper(2, "", "Bot"), SmallBoards.Profile];
        Assert.Empty(FabricationImport.Import(new FabricationDescription(), files, new ImportLimits { MaxOverlapSteps = 10_000_000 }, CancellationToken.None).Faults);
        var fault = Assert.Single(FabricationImport.Import(new FabricationDescription(), files, new ImportLimits { MaxOverlapSteps = 20_000 }, CancellationToken.None).Faults);
        Assert.Equal("/files/copper1.gbr", fault.Pointer);
        Assert.Contains("lie on each other", fault.Detail, StringComparison.Ordinal);
    }
}
