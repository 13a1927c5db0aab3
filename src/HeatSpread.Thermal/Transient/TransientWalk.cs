namespace HeatSpread.Thermal.Transient;

/// <summary>Steps of fitting length from one switching to the next.</summary>
internal sealed class TransientWalk(SolvedNetwork solved, StageSystem system, TransientSteps steps, TransientSettings settings, IProgress<double>? progress)
{
    /// <summary>The first step, of backward Euler, as a share of the first time asked for.</summary>
    private const double SettlingShare = 0.01;

    /// <summary>Steps are powers of two of the first one, so that many share a hierarchy: one grows where twice its length, at eight times its error, would still do.</summary>
    private const double ErrorToGrow = 0.1;

    private const double Shortest = 1e-6;

    private const double NearSettled = 1e-3;

    private int _taken;

    public List<TransientMoment> Moments { get; } = [];

    /// <summary>Where the parts are read; null: where they are hottest at each moment.</summary>
    public LinearReading[]? Readings { get; init; }

    /// <summary>The field that it ends with; null: not known.</summary>
    public double[]? Settled { get; init; }

    public TransientCurve Curve() => new(Moments, _taken, system.Solves, system.SetUps);

    public void Record() => Moments.Add(MomentOf(steps.Seconds, steps.Rise, steps.HeatTakenUp.Sum()));

    public TransientMoment MomentOf(double seconds, double[] field, double stored) =>
        new(seconds, [.. solved.Board.Parts.Select((_, part) => Readings is null ? Hottest(part, field) : Readings[part].On(field))], Greatest(field), stored);

    public void Switch(double[] heat) => steps.Add(heat);

    /// <summary>Steps up to a time, which may be infinite where <see cref="Settled"/> is known.</summary>
    public void To(double end, CancellationToken cancellationToken)
    {
        double step = Math.Min(settings.FirstSeconds, end - steps.Seconds) * SettlingShare;
        steps.Settle(step, cancellationToken);
        double began = steps.Seconds - step;
        while (steps.Seconds < end && !IsSettled())
        {
            if (_taken++ >= settings.MaximumSteps) throw new ThermalSolveException($"The transient took more than {settings.MaximumSteps} steps: ask for a later first time, an earlier end or a larger tolerance.");
            double left = end - steps.Seconds;
            // the last step goes to the end itself; of less than two steps each takes half
            double tried = step >= left * (1 - 1e-9) ? left : 2 * step > left ? left / 2 : step;
            double error = steps.TryStep(tried, settings.Tolerance, cancellationToken);
            if (error > 1)
            {
                step = tried / 2;
                if (step < Shortest * settings.FirstSeconds) throw new ThermalSolveException("The steps of the transient became too short: its films or networks change faster than can be followed.");
                continue;
            }
            if (steps.Seconds - began >= settings.FirstSeconds * (1 - 1e-9)) Record();
            progress?.Report(steps.Seconds);
            if (error < ErrorToGrow && tried == step) step *= 2;
        }
    }

    private bool IsSettled()
    {
        if (Settled is null || settings.EndSeconds is not null) return false;
        double most = 0, apart = 0;
        for (int i = 0; i < Settled.Length; i++)
        {
            most = Math.Max(most, Math.Abs(Settled[i]));
            apart = Math.Max(apart, Math.Abs(Settled[i] - steps.Rise[i]));
        }
        return apart <= NearSettled * most;
    }

    private double Hottest(int part, double[] field)
    {
        int nodes = solved.Board.Parts[part].Network?.Nodes.Count ?? 0;
        return nodes == 0 ? field[FieldReading.HottestUnder(solved.Parts, part, field)] : Enumerable.Range(0, nodes).Max(node => field[solved.Parts.Unknown(part, node)]);
    }

    private double Greatest(double[] field)
    {
        double greatest = double.NegativeInfinity;
        for (int i = 0; i < field.Length; i++)
        {
            if (system.Capacities[i] > 0) greatest = Math.Max(greatest, field[i]);
        }
        return greatest;
    }
}
