using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Insight.Studies;
using HeatSpread.Thermal;

namespace HeatSpread.Benchmarks;

/// <summary>A 21 × 21 study of ambient and watts of a board of a million unknowns, everything included, against one plain solve of it: raster, network and field.</summary>
internal static class StudyBench
{
    public static int Run(string[] options)
    {
        int threads = (int)Timing.Option(options, "threads", 2), repetitions = (int)Timing.Option(options, "reps", 5), steps = (int)Timing.Option(options, "steps", 21);
        var demo = DemoBoard.WithUnknowns(Timing.Option(options, "unknowns", 1e6));
        var (layout, conditions) = DemoBoard.Documents();
        var capacity = new SolveCapacity(threads);
        double pitch = demo.Pitch;
        int unknowns = 0, points = 0;
        StudyCost cost = default;
        void Plain()
        {
            using var solved = ThermalSolve.Run(demo.Board, demo.Conditions, demo.Raster(), capacity, ThermalSolve.Tolerance, null, CancellationToken.None);
            unknowns = solved.Figures.Unknowns;
        }
        void Study()
        {
            points = 0;
            var cases = new StudyCases(layout, conditions, demo.Board, "mm");
            var plan = StudyPlan.Grid(Axes(cases, layout, conditions, steps));
            using var solver = StudySolver.Start(cases, new GridChoice(pitch, null), capacity, null, CancellationToken.None);
            new StudyRun(cases, solver, plan, CancellationToken.None).Run(new HashSet<int>(), _ => points++);
            cost = solver.Cost;
        }
        Plain();
        Study();
        List<double> plain = [], study = [];
        for (int k = 0; k < repetitions; k++) // in turn, so that what else the machine does falls on both
        {
            plain.Add(Timing.Once(Plain));
            study.Add(Timing.Once(Study));
        }
        Console.WriteLine(FormattableString.Invariant($"{unknowns} unknowns, {threads} threads, least of {repetitions}: plain solve {plain.Min():0.00} s, study of {points} points {study.Min():0.00} s ({study.Min() / plain.Min():0.00} plain solves; {cost.Solves} fields on its grid, its coarser grids for the grid error included)"));
        return 0;
    }

    private static StudyAxis[] Axes(StudyCases cases, byte[] layout, byte[] conditions, int steps)
    {
        using var given = JsonDocument.Parse(conditions);
        using var posted = JsonDocument.Parse($$"""[{ "quantity": "ambientCelsius", "from": 0, "to": 80, "count": {{steps}} }, { "quantity": "watts", "part": "U1", "from": 0, "to": 3, "count": {{steps}} }]""");
        var state = new ReadingState(LayoutLimits.Default);
        var reader = new AxisReader(layout, given.RootElement, cases.Base.Board, 1000);
        StudyAxis[] axes = [.. posted.RootElement.EnumerateArray().Select(axis => reader.Read(axis, JsonPointer.Root("/axes"), AxisUse.Sweep, state)!)];
        return state.Faults.Any ? throw new InvalidDataException(state.Faults.Faults()[0].Detail) : axes;
    }
}
