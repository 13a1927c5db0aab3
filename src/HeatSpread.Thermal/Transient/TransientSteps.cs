namespace HeatSpread.Thermal.Transient;

/// <summary>
/// Implicit steps of TR-BDF2, second order and L-stable, with its embedded estimate of the error of a step (Bank, Coughran, Fichtner, Grosse, Rose and Smith, IEEE Transactions on Electron Devices 32, 1985, 1992;
/// Hosea and Shampine, Applied Numerical Mathematics 20, 1996, 21). The state is a field and the heat that each unknown still takes up, which changes by what is switched on or off.
/// </summary>
internal sealed class TransientSteps
{
    private static readonly double gamma = 2 - Math.Sqrt(2);
    private static readonly double errorFactor = (-3 * gamma * gamma + 4 * gamma - 2) / (12 * (2 - gamma));

    /// <summary>Where the second stage's difference begins, in changes of the first one beyond it: 1/(γ(2-γ)) - 1.</summary>
    private static readonly double reach = 1 / (gamma * (2 - gamma)) - 1;

    private readonly StageSystem _system;
    private double[] _rise, _heat;
    private double[]? _lastChange;
    private double _lastStep;

    /// <param name="system">The board.</param>
    /// <param name="rise">At the start, K over ambient.</param>
    /// <param name="heat">W that each unknown takes up at the start: heat made less heat that leaves.</param>
    public TransientSteps(StageSystem system, double[] rise, double[] heat) => (_system, _rise, _heat) = (system, rise, heat);

    /// <summary>Time since the start, s.</summary>
    public double Seconds { get; private set; }

    /// <summary>K over ambient of each unknown.</summary>
    public double[] Rise => _rise;

    /// <summary>W that each unknown takes up: 0 in the steady state.</summary>
    public IReadOnlyList<double> HeatTakenUp => _heat;

    /// <summary>Switches heat on or off, W of each unknown.</summary>
    public void Add(double[] heat)
    {
        for (int i = 0; i < _heat.Length; i++) _heat[i] += heat[i];
        _lastChange = null;
    }

    /// <summary>One step of backward Euler: after a change of heat it brings nodes that store nothing, and cells that the grid does not resolve in time, to where they belong.</summary>
    /// <param name="seconds">Far below what is to be resolved.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public void Settle(double seconds, CancellationToken cancellationToken)
    {
        _system.Prepare(seconds, _rise, cancellationToken);
        var change = new double[_system.Count];
        if (!_system.Solve([.. _heat], _rise, change, cancellationToken)) throw new ThermalSolveException("The surfaces' films did not settle in the first step of a transient.");
        Accept([.. _rise.Zip(change, (a, b) => a + b)], [.. change.Select((c, i) => _system.Capacities[i] / seconds * c)], seconds, change);
        _lastChange = null;
    }

    /// <summary>Tries one step; takes it where its error is small enough.</summary>
    /// <param name="step">s.</param>
    /// <param name="tolerance">Error allowed, as a share of the greatest rise.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>Error over what is allowed; the step was taken where it is at most 1.</returns>
    public double TryStep(double step, double tolerance, CancellationToken cancellationToken)
    {
        double stage = gamma * step / 2;
        _system.Prepare(stage, _rise, cancellationToken);
        int count = _system.Count;
        var capacities = _system.Capacities;

        double[] first = Guess(gamma * step), right = new double[count];
        for (int i = 0; i < count; i++) right[i] = 2 * _heat[i];
        if (!_system.Solve(right, _rise, first, cancellationToken)) return double.PositiveInfinity;

        double[] middle = new double[count], second = new double[count], heatMiddle = new double[count];
        for (int i = 0; i < count; i++)
        {
            double stored = capacities[i] / stage * first[i];
            middle[i] = _rise[i] + first[i];
            heatMiddle[i] = stored - _heat[i];
            right[i] = heatMiddle[i] + reach * stored;
            second[i] = (1 - gamma) / gamma * first[i];
        }
        if (!_system.Solve(right, middle, second, cancellationToken)) return double.PositiveInfinity;

        double[] end = new double[count], heatEnd = new double[count];
        for (int i = 0; i < count; i++)
        {
            end[i] = middle[i] + second[i];
            heatEnd[i] = capacities[i] / stage * (second[i] - reach * first[i]);
            right[i] = 2 * errorFactor * step / stage * (_heat[i] / gamma - heatMiddle[i] / (gamma * (1 - gamma)) + heatEnd[i] / (1 - gamma));
        }
        double error = Largest(_system.Smooth(right, cancellationToken)) / (tolerance * Math.Max(Largest(end), double.Epsilon));
        if (error <= 1) Accept(end, heatEnd, step, [.. end.Zip(_rise, (a, b) => a - b)]);
        return error;
    }

    private void Accept(double[] rise, double[] heat, double step, double[] change)
    {
        (_rise, _heat, _lastChange, _lastStep) = (rise, heat, change, step);
        Seconds += step;
    }

    private double[] Guess(double step) => _lastChange is null ? new double[_system.Count] : [.. _lastChange.Select(change => change * step / _lastStep)];

    private static double Largest(double[] values)
    {
        double largest = 0;
        foreach (double value in values) largest = Math.Max(largest, Math.Abs(value));
        return largest;
    }
}
