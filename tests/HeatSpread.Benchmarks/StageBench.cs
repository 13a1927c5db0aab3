using System.Diagnostics;
using System.Text;
using HeatSpread.Import;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Shapes;
namespace HeatSpread.Benchmarks;
internal static class StageBench
{
    public static void Run(List<FabricationFile> files)
    {
        for (int rep = 0; rep < 3; rep++)
        {
            double Cpu() { using var p = Process.GetCurrentProcess(); return p.TotalProcessorTime.TotalSeconds; }
            double c = Cpu();
            void Lap(string what) { double n = Cpu(); Console.WriteLine($"{what}: {n - c:0.00}"); c = Cpu(); }
            string text = Encoding.UTF8.GetString(files[0].Content.Span);
            Lap("text");
            int n = 0; foreach (var command in GerberLexer.Read(text)) n++;
            Lap($"lex {n}");
            var image = GerberReader.Read(text, new FileNotes("x"), new ImportLimits(), CancellationToken.None);
            Lap($"read {image.Objects.Count}");
            string pours = text[..text.IndexOf("D11*\n", StringComparison.Ordinal)] + "M02*";
            GerberReader.Read(pours, new FileNotes("x"), new ImportLimits(), CancellationToken.None);
            Lap("pours");
            string noPours = text[..text.IndexOf("G36", StringComparison.Ordinal)] + text[text.IndexOf("D11*\n", StringComparison.Ordinal)..];
            GerberReader.Read(noPours, new FileNotes("x"), new ImportLimits(), CancellationToken.None);
            Lap("no pours");
            var shapes = image.Objects.Select(o => new PaintedShape(o.Shape, o.IsDark)).ToList();
            double h = SpanCutter.TotalHeight(shapes);
            Lap($"height {h}");
            var cut = new SpanCutter(shapes, 0, 0.02, 8000);
            Lap("cut");
            LayerScan.Of(shapes, [], CancellationToken.None);
            Lap("scan");
        }
    }
}
