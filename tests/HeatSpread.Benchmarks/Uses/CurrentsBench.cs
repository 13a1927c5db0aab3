using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>What five direct currents cost beside a solve of the same board without them.</summary>
internal static class CurrentsBench
{
    private const string Currents = """
        [ { "name": "input", "net": "VIN", "amps": 1.3, "from": ["J1:1"], "to": ["U1:VIN"] },
          { "name": "switch", "net": "SW", "amps": 3, "from": ["U1:SW"], "to": ["L10:1"] },
          { "name": "output", "net": "VOUT", "amps": 3, "from": ["L10:2"], "to": ["J2:1"] },
          { "name": "return", "net": "GND", "amps": 3, "from": ["J2:2"], "to": ["U1:GND"] },
          { "name": "supply return", "net": "GND", "amps": 1.3, "from": ["U1:GND"], "to": ["J1:2"] } ]
        """;

    public static int Run(string[] options)
    {
        var demo = DemoBoard.WithUnknowns(Timing.Option(options, "unknowns", 280e3));
        int threads = (int)Timing.Option(options, "threads", 2), repetitions = (int)Timing.Option(options, "reps", 5);
        var raster = demo.Raster();
        using var json = JsonDocument.Parse($$"""{ "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": 13 }, "bottom": { "filmWattsPerM2K": 13 } }, "currents": {{Currents}} }""");
        var with = ConditionsReader.Read(json.RootElement, "/conditions", demo.Board, "mm").Value ?? throw new InvalidOperationException("The demo board no longer has these terminals.");
        var capacity = new SolveCapacity(threads);
        double plain = 0;
        Console.WriteLine("case           unknowns  iterations  copper W   least s  median s  times plain");
        foreach (var (name, conditions) in new[] { ("no current", with with { Currents = [] }), ("five currents", with) })
        {
            TemperatureField? field = null;
            var (least, median) = Timing.Of(repetitions, () =>
            {
                using var solved = ThermalSolve.Run(demo.Board, conditions, raster, capacity, ThermalSolve.Tolerance, null, CancellationToken.None);
                field = solved.Read();
            });
            if (plain == 0) plain = least;
            double watts = field!.Currents?.Readings.Sum(r => r.CopperWatts) ?? 0;
            Console.WriteLine(FormattableString.Invariant($"{name,-14} {field.Solve.Unknowns,8} {field.Solve.Iterations,11} {watts,9:0.0000} {least,9:0.000} {median,9:0.000} {least / plain,12:0.00}"));
        }
        return 0;
    }
}
