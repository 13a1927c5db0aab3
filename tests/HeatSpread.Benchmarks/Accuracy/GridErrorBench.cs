using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;

namespace HeatSpread.Benchmarks;

internal static class GridErrorBench
{
    public static int Run(string[] options)
    {
        int boards = int.Parse(options[0].Split('=')[1], CultureInfo.InvariantCulture);
        int first = options.Length > 1 ? int.Parse(options[1].Split('=')[1], CultureInfo.InvariantCulture) : 1;
        Console.WriteLine("board,kind,id,pitch,size,4h,2h,h,h/2,h/4,local");
        for (int seed = first; seed < first + boards; seed++)
        {
            var (board, conditions) = RandomBoard.Of(seed);
            double pitch = 0.3e-3 * Math.Pow(2.5, new Random(seed).NextDouble());
            double[] pitches = [4 * pitch, 2 * pitch, pitch, pitch / 2, pitch / 4];
            var fields = pitches.Select(p => ThermalSolve.Run(board, conditions, CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, p), CancellationToken.None), 2, null, CancellationToken.None).Read()).ToArray();
            void Line(string kind, string id, double size, Func<TemperatureField, double> value) =>
                Console.WriteLine(string.Create(CultureInfo.InvariantCulture, $"{seed},{kind},{id},{pitch * 1e3:F3},{size * 1e3:F3},{string.Join(',', fields.Select(f => value(f).ToString("F6", CultureInfo.InvariantCulture)))}"));
            Line("peak", "peak", 0, f => f.RowCelsius.Max(row => row.Where(float.IsFinite).Max()));
            for (int p = 0; p < board.Parts.Count; p++)
            {
                var part = board.Parts[p];
                int at = p;
                double size = part.Terminals.Count > 0 ? part.Terminals.Min(t => Math.Min(t.Pad.Bounds.Width, t.Pad.Bounds.Height)) : Math.Min(part.Body!.Bounds.Width, part.Body.Bounds.Height);
                Line(part.Kind, part.Id, size, f => f.Parts[at].MaxCelsius);
                for (int t = 0; t < part.Terminals.Count; t++) { int tt = t; Line("terminal", part.Id + part.Terminals[t].Name, Math.Min(part.Terminals[t].Pad.Bounds.Width, part.Terminals[t].Pad.Bounds.Height), f => f.Parts[at].TerminalCelsius[tt]); }
            }
            for (int k = 0; k < board.Probes.Count; k++) { int at = k; Line("probe", board.Probes[k].Name, 0, f => FieldReadings.Probes(board, f)[at].Celsius); }
        }
        return 0;
    }
}
