using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Transient;

namespace HeatSpread.Insight.Transients;

/// <summary>From a board to its transients, as a list of named steps.</summary>
public static class TransientAnalysis
{
    /// <summary>Cells where no pitch is asked for: a transient is some hundreds of solves.</summary>
    private const int UsualCells = 150_000;

    private const double SteadyTolerance = 1e-8;

    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it; its watts are those of the steady state.</param>
    /// <param name="pitchMeters">Of the grid; null: so many cells that the answer takes seconds.</param>
    /// <param name="plan">What is asked.</param>
    /// <param name="capacity">Cores and memory.</param>
    /// <param name="progress">May be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="ThermalSolveException">There is no steady state, or a step did not converge.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static TransientAnswer Run(Board board, Conditions conditions, double? pitchMeters, TransientPlan plan, SolveCapacity capacity, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(board);
        ArgumentNullException.ThrowIfNull(conditions);
        ArgumentNullException.ThrowIfNull(plan);
        double pitch = pitchMeters ?? GridPitch.ToStartWith(board, UsualCells);
        progress?.Report(new("raster", 0, null));
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), cancellationToken);
        progress?.Report(new("steady state", 2, null));
        using var solved = ThermalSolve.Run(board, conditions, raster, capacity, SteadyTolerance, progress: null, cancellationToken);
        double[] steady = [.. board.Parts.Select((_, part) => solved.ReadPart(part).MaxCelsius)];

        int[] heated = [.. plan.ImpedanceOf.Concat(plan.Pulse is { } asked ? [asked.Part] : []).Distinct()];
        var watch = new Steps(progress, heated.Length + (plan.Stages.Count > 0 ? 1 : 0));
        var impedances = new Dictionary<int, ThermalImpedance>();
        foreach (int part in heated) impedances[part] = watch.Add(Impedance(solved, part, plan, capacity, watch.Begin($"impedance of {board.Parts[part].Id}", null), cancellationToken), part);
        var schedule = plan.Stages.Count == 0 ? null : Schedule(solved, watch.Add(TransientRun.UnderPower(
            solved, plan.Stages, plan.StartsFromSteadyState, plan.Settings, capacity, watch.Begin("schedule", plan.Settings.EndSeconds), cancellationToken)));
        var pulse = plan.Pulse is { } given ? Pulse(given, impedances[given.Part], steady[given.Part], solved.WattsOf(given.Part)) : null;
        return new(
            pitch, solved.Figures.Unknowns, steady, schedule, [.. plan.ImpedanceOf.Select(part => new ImpedanceCurve(part, impedances[part], solved.IsLinear))], pulse, Warnings(solved, conditions, plan, pitch), watch.Work);
    }

    private static TransientCurve Impedance(SolvedNetwork solved, int part, TransientPlan plan, SolveCapacity capacity, IProgress<double>? progress, CancellationToken cancellationToken)
    {
        // a pulse asks for its own short time, and for all that follows
        double first = plan.Pulse is { } pulse && pulse.Part == part ? Math.Min(plan.Settings.FirstSeconds, pulse.OnSeconds / 4) : plan.Settings.FirstSeconds;
        return TransientRun.OfOneWatt(solved, part, plan.Settings with { FirstSeconds = first, EndSeconds = null }, capacity, progress, cancellationToken);
    }

    private static ScheduleCurve Schedule(SolvedNetwork solved, TransientCurve curve)
    {
        double ambient = solved.Conditions.AmbientCelsius;
        return new(
            [.. curve.Moments.Select(moment => moment.Seconds)],
            [.. solved.Board.Parts.Select((_, part) => curve.Moments.Select(moment => ambient + moment.Parts[part]).ToArray())],
            [.. curve.Moments.Select(moment => ambient + moment.Greatest)]);
    }

    /// <summary>The steady state's own watts in the part give way to the pulses.</summary>
    private static PulseState Pulse(PulsePlan plan, ThermalImpedance impedance, double steadyCelsius, double steadyWatts)
    {
        double between = steadyCelsius + impedance.SettledKelvinPerWatt * (plan.BaseWatts - steadyWatts);
        var pulse = RepeatedPulse.Of(impedance, plan.Watts - plan.BaseWatts, plan.OnSeconds, plan.PeriodSeconds);
        return new(plan.Part, between + pulse.PeakKelvin, between + pulse.TroughKelvin, between + pulse.MeanKelvin);
    }

    private static List<string> Warnings(SolvedNetwork solved, Conditions conditions, TransientPlan plan, double pitch)
    {
        List<string> warnings = [];
        double resolved = pitch * pitch * Materials.Find("copper")!.JoulesPerCubicMeterKelvin / Materials.Find("copper")!.Conductivity.InPlane;
        if (resolved > plan.Settings.FirstSeconds)
            warnings.Add(string.Create(CultureInfo.InvariantCulture, $"Before about {resolved:G2} s heat has spread over less than one cell of the grid's copper: such times come out too cold or too hot by the size of a cell."));
        if (solved.Board.Parts.Any(part => part.Network is not null) && plan.Settings.NodeJoulesPerKelvin.Count == 0)
            warnings.Add("The parts' own nodes store no heat, as no heat capacity of them is given: in the first seconds they come out too hot.");
        if (solved.Board.Rows.Any(row => row.HasUsualHeatCapacity)) warnings.Add("Rows whose heat capacity is not known have that of a usual laminate or of copper.");
        if (conditions.Converter is not null || conditions.Currents.Count > 0) warnings.Add("Heat of the converter and of currents in the copper is held at that of the steady state.");
        if (solved.Board.Rows.Any(row => row.FillCurve is not null || row.CopperCurve is not null)) warnings.Add("Conductivities are held at those of the steady state.");
        if (!solved.IsLinear && (plan.ImpedanceOf.Count > 0 || plan.Pulse is not null)) warnings.Add("Films depend on temperature: the impedances, and pulses computed from them, are those of small changes about the steady state.");
        return warnings;
    }

    /// <summary>Progress and counts over several transients.</summary>
    private sealed class Steps(IProgress<AnalysisProgress>? progress, int count)
    {
        private const double PercentBefore = 5;

        private int _begun;

        public TransientWork Work { get; private set; } = new(0, 0, 0);

        public IProgress<double>? Begin(string name, double? end)
        {
            double from = PercentBefore + (100 - PercentBefore) * _begun++ / count, share = (100 - PercentBefore) / count;
            progress?.Report(new(name, from, null));
            return progress is null || end is null ? null : new Reached(progress, name, from, share, end.Value);
        }

        public TransientCurve Add(TransientCurve curve)
        {
            Work = new(Work.Steps + curve.Steps, Work.Solves + curve.Solves, Work.SetUps + curve.SetUps);
            return curve;
        }

        public ThermalImpedance Add(TransientCurve curve, int part) => new(Add(curve), part);

        private sealed class Reached(IProgress<AnalysisProgress> progress, string name, double from, double share, double end) : IProgress<double>
        {
            public void Report(double value) => progress.Report(new(name, from + share * Math.Min(1, value / end), null));
        }
    }
}
