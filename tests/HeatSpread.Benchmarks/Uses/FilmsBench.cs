using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Benchmarks;

/// <summary>What films that depend on temperature cost beside a linear solve of the same board.</summary>
internal static class FilmsBench
{
    public static int Run(string[] options)
    {
        var demo = DemoBoard.WithUnknowns(Timing.Option(options, "unknowns", 1.12e6));
        int threads = (int)Timing.Option(options, "threads", 2), repetitions = (int)Timing.Option(options, "reps", 5);
        var raster = demo.Raster();
        Surface Film(double film) => new FilmSurface(film);
        (string Name, Surface Top, Surface Bottom)[] cases =
        [
            ("given films", Film(13), Film(13)),
            ("still air, upright", new StillAirSurface(AirOrientation.Vertical, 0.9, 25), new StillAirSurface(AirOrientation.Vertical, 0.9, 25)),
            ("still air, level", new StillAirSurface(AirOrientation.FaceUp, 0.9, 25), new StillAirSurface(AirOrientation.FaceDown, 0.9, 25)),
            ("moving air 1.5 m/s", new MovingAirSurface(1.5, new Point(1, 0), 0.9, 25), new MovingAirSurface(1.5, new Point(1, 0), 0.9, 25)),
        ];
        double linear = 0;
        Console.WriteLine("case                   passes  set-ups  iterations  film residuals                              least s  median s  times linear");
        foreach (var (name, top, bottom) in cases)
        {
            var conditions = new Conditions { AmbientCelsius = 25, Top = top, Bottom = bottom, EdgesFilm = 0, Contacts = [], Watts = new Dictionary<int, double>() };
            var capacity = new SolveCapacity(threads);
            TemperaturePasses? passes = null;
            int iterations = 0;
            var seconds = new List<double>();
            for (int k = 0; k <= repetitions; k++)
            {
                var network = ThermalNetwork.Assemble(demo.Board, raster, CancellationToken.None);
                passes = new TemperaturePasses(network, PartAttachments.Attach(network, conditions), new OuterFaces(network, conditions), new RimFilm(network, 0), coupled: null, conditions.AmbientCelsius, capacity.Resources);
                var field = new double[network.Grid.CellCount + network.Grid.NodeCount];
                double taken = Timing.Once(() =>
                {
                    var (solver, report) = passes.Run(field, ThermalSolve.Tolerance, ThermalSolve.Required, null, CancellationToken.None);
                    iterations = report.Iterations;
                    solver.Dispose();
                });
                if (k > 0) seconds.Add(taken);
            }
            seconds.Sort();
            if (linear == 0) linear = seconds[seconds.Count / 2];
            string residuals = string.Join(' ', passes!.Residuals.Select(r => FormattableString.Invariant($"{r:0e0}")));
            Console.WriteLine(FormattableString.Invariant(
                $"{name,-22} {Math.Max(1, passes.Residuals.Count),6} {passes.SetUps,8} {iterations,11}  {residuals,-42} {seconds[0],8:0.000} {seconds[seconds.Count / 2],9:0.000} {seconds[seconds.Count / 2] / linear,13:0.00}"));
        }
        return 0;
    }
}
