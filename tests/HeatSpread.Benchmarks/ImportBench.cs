using System.Diagnostics;
using System.Globalization;
using System.Text;
using HeatSpread.Boards;
using HeatSpread.Import;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>
/// Times the import of a large made-up board, 200 × 150 mm with four copper layers: 100,000 painted features of together about 2 million points (tracks
/// of many bends, rounded pads as regions, pours with ragged edges and cut-ins), 8,000 plated holes, without attributes, so that nets are traced.
/// </summary>
internal static class ImportBench
{
    private const int FeaturesPerLayer = 25_000;
    private const int Layers = 4;

    public static void Run(int repetitions)
    {
        var files = Files();
        Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"files: {files.Sum(f => f.Content.Length) / 1e6:0.0} MB"));
        for (int i = 0; i < repetitions; i++)
        {
            long start = Stopwatch.GetTimestamp();
            using var process = Process.GetCurrentProcess();
            var processor = process.TotalProcessorTime;
            var result = FabricationImport.Import(new FabricationDescription { Name = "large" }, files, CancellationToken.None);
            double import = Stopwatch.GetElapsedTime(start).TotalSeconds;
            process.Refresh();
            double importProcessor = (process.TotalProcessorTime - processor).TotalSeconds;
            foreach (var fault in result.Faults) Console.WriteLine(fault);
            var layout = result.Layout!;
            start = Stopwatch.GetTimestamp();
            var built = BoardBuilder.Build(layout);
            double build = Stopwatch.GetElapsedTime(start).TotalSeconds;
            foreach (var fault in built.Faults.Take(5)) Console.WriteLine(fault);
            start = Stopwatch.GetTimestamp();
            process.Refresh();
            processor = process.TotalProcessorTime;
            long allocated = GC.GetTotalAllocatedBytes();
            var raster = CopperRaster.Build(built.Value!, BoardGrid.Over(built.Value!.Outline.Bounds, 0.5e-3), CancellationToken.None);
            double rastered = Stopwatch.GetElapsedTime(start).TotalSeconds;
            process.Refresh();
            double rasterProcessor = (process.TotalProcessorTime - processor).TotalSeconds;
            allocated = GC.GetTotalAllocatedBytes() - allocated;
            Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"import {import:0.00} s (processor {importProcessor:0.00} s), checks {build:0.00} s, raster at 0.5 mm {rastered:0.00} s (processor {rasterProcessor:0.00} s, {allocated / 1048576.0:0} MiB); {layout.Copper.Count} features, {Points(layout) / 1e6:0.00} million points, {layout.Nets.Count} nets, copper of L1 {raster.Layers[0].CopperArea * 1e6:0.0} mm²; peak {process.PeakWorkingSet64 / 1048576.0:0} MiB"));
        }
    }

    private static long Points(LayoutDocument layout) => layout.Copper.Sum(c => (long)(c.Track?.Path.Count ?? c.Area!.Polygons.Sum(p => p.Rings.Sum(r => r.Count))));

    private static List<FabricationFile> Files()
    {
        var files = new List<FabricationFile>();
        for (int layer = 1; layer <= Layers; layer++) files.Add(File($"copper{layer}.gbr", Copper(layer)));
        files.Add(File("edge.gbr", "%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Profile,NP*%\n%ADD10C,0.1*%\nD10*\nX0Y0D02*\nX200000000D01*\nY150000000D01*\nX0D01*\nY0D01*\nM02*\n"));
        var drill = new StringBuilder("M48\nMETRIC\nT1C0.3\n%\nT1\n");
        for (int i = 0; i < 8000; i++) drill.Append(CultureInfo.InvariantCulture, $"X{1.5 + 1.9 * (i % 100):0.000}Y{1.5 + 1.8 * (i / 100):0.000}\n");
        files.Add(File("plated-PTH.drl", drill.Append("M30\n").ToString()));
        return files;
    }

    private static FabricationFile File(string name, string text) => new(name, Encoding.ASCII.GetBytes(text));

    private static string Copper(int layer)
    {
        var random = new Random(layer);
        var text = new StringBuilder();
        text.Append(CultureInfo.InvariantCulture, $"%FSLAX46Y46*%\n%MOMM*%\n%TF.FileFunction,Copper,L{layer},{(layer == 1 ? "Top" : layer == Layers ? "Bot" : "Inr")}*%\n%ADD10C,0.15*%\n%ADD11C,0.6*%\n%ADD12R,0.9X1.3*%\nG01*\nG75*\n");
        for (int i = 0; i < 20; i++) Pour(text, random, 1 + 39.8 * (i % 5), 1 + 37 * (i / 5));
        text.Append("D11*\n");
        for (int i = 0; i < 8000; i++) Place(text, 1.5 + 1.9 * (i % 100), 1.5 + 1.8 * (i / 100), "D03");
        text.Append("D10*\n");
        for (int i = 0; i < 9000; i++) Track(text, random);
        for (int i = 0; i < FeaturesPerLayer - 17_020; i++) RoundedPad(text, random);
        return text.Append("M02*\n").ToString();
    }

    /// <summary>A ragged disc of 5,000 points with a cut-in to a round hole.</summary>
    private static void Pour(StringBuilder text, Random random, double x, double y)
    {
        text.Append("G36*\n");
        const int Count = 4800;
        double radius = 0, cx = x + 18.5, cy = y + 17.5;
        for (int i = 0; i <= Count; i++)
        {
            radius = 16.5 + 0.6 * Math.Sin(i * 0.37) + 0.05 * random.NextDouble();
            if (i == 0 || i == Count) radius = 16.5;
            Place(text, cx + radius * Math.Cos(2 * Math.PI * i / Count), cy + radius * Math.Sin(2 * Math.PI * i / Count), i == 0 ? "D02" : "D01");
        }
        for (int i = 0; i <= 200; i++) Place(text, cx + 3 * Math.Cos(2 * Math.PI * i / 200), cy - 3 * Math.Sin(2 * Math.PI * i / 200), "D01");
        Place(text, cx + 16.5, cy, "D01");
        text.Append("G37*\n");
    }

    private static void Track(StringBuilder text, Random random)
    {
        double x = 5 + 185 * random.NextDouble(), y = 5 + 140 * random.NextDouble(), heading = 2 * Math.PI * random.NextDouble();
        Place(text, x, y, "D02");
        for (int i = 0; i < 32; i++)
        {
            heading += 0.4 * (random.NextDouble() - 0.5);
            x = Math.Clamp(x + 0.12 * Math.Cos(heading), 1, 199);
            y = Math.Clamp(y + 0.12 * Math.Sin(heading), 1, 149);
            Place(text, x, y, "D01");
        }
    }

    private static void RoundedPad(StringBuilder text, Random random)
    {
        double x = 3 + 193 * random.NextDouble(), y = 3 + 143 * random.NextDouble(), r = 0.3;
        text.Append("G36*\n");
        Place(text, x + r, y, "D02");
        for (int i = 1; i <= 16; i++) Place(text, x + r * Math.Cos(Math.PI * i / 8), y + r * Math.Sin(Math.PI * i / 8), "D01");
        text.Append("G37*\n");
    }

    private static void Place(StringBuilder text, double x, double y, string operation) =>
        text.Append('X').Append((long)Math.Round(x * 1e6)).Append('Y').Append((long)Math.Round(y * 1e6)).Append(operation).Append("*\n");
}
