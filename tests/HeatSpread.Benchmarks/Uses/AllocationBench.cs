using HeatSpread.Insight;
using HeatSpread.Solver;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Benchmarks;

/// <summary>Bytes that each step of an analysis of the demo board allocates, when an earlier one has left its scratch.</summary>
internal static class AllocationBench
{
    public static int Run(string[] options)
    {
        var demo = DemoBoard.WithUnknowns(Timing.Option(options, "unknowns", 1.12e6));
        var capacity = new SolveCapacity((int)Timing.Option(options, "threads", 2));
        for (int k = 0; k < 2; k++)
        {
            bool print = k > 0;
            long last = GC.GetTotalAllocatedBytes(true);
            void Step(string name)
            {
                long now = GC.GetTotalAllocatedBytes(true);
                if (print) Console.WriteLine(FormattableString.Invariant($"{name,-22} {(now - last) / 1048576.0,8:0.0} MiB"));
                last = GC.GetTotalAllocatedBytes(true);
            }
            var raster = demo.Raster();
            Step("raster");
            var network = ThermalNetwork.Assemble(demo.Board, raster, CancellationToken.None);
            Step("network");
            var parts = PartAttachments.Attach(network, demo.Conditions);
            var faces = new OuterFaces(network, demo.Conditions);
            Step("parts and faces");
            double[] heat = new double[network.Grid.CellCount + network.Grid.NodeCount], field = new double[heat.Length];
            parts.AddHeat(heat);
            faces.Put(network.Grid, null, heat);
            Step("heat and field");
            using (var solver = MultigridSolver.Prepare(network.Grid, capacity.Resources, CancellationToken.None))
            {
                Step("set-up");
                solver.Solve(heat, field, new(), null, CancellationToken.None);
                Step("solve");
            }
            using (var solved = ThermalSolve.Run(demo.Board, demo.Conditions, raster, capacity, ThermalSolve.Tolerance, null, CancellationToken.None))
            {
                Step("ThermalSolve.Run");
                solved.Read();
                Step("reading the field");
            }
            BoardAnalysis.Analyse(demo.Board, demo.Conditions, new GridChoice(demo.Pitch, null), capacity, null, CancellationToken.None);
            Step("BoardAnalysis.Analyse");
        }
        return 0;
    }
}
