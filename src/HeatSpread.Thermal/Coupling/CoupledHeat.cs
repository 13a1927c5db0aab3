using HeatSpread.Thermal.Currents;

namespace HeatSpread.Thermal.Coupling;

/// <summary>
/// Heat that depends on the temperatures it makes: of currents in the copper. Fixed-point iteration, one step after each solve of the field: what a field's temperatures make is put into the
/// next solve, extrapolated along the last step (Anderson, J. ACM 12, 1965, 547, of depth one). Started cold, the plain iteration climbs to the lowest steady state where there is
/// one, as more heat is hotter everywhere and hotter copper makes more heat; where a step makes more heat than it was, there is none.
/// </summary>
internal sealed class CoupledHeat
{
    /// <summary>Steps one after the other that grew, after which the heat is said to run away.</summary>
    private const int MostGrowing = 3;

    /// <summary>Growth of heat over growth of heat put in, from which on nothing is extrapolated.</summary>
    private const double MostExtrapolated = 0.99;

    private readonly CopperCurrents _currents;
    private readonly double _ambient;
    private readonly double[] _heat;
    private readonly double[] _made;
    private double[]? _lastHeat;
    private double[]? _lastChange;
    private int _growing;

    public CoupledHeat(CopperCurrents currents, double ambientCelsius, int unknowns)
    {
        _currents = currents;
        _ambient = ambientCelsius;
        _heat = new double[unknowns];
        _made = new double[unknowns];
        _currents.Solve(new double[unknowns], _heat);
    }

    /// <summary>W of all copper, as put into the last solve.</summary>
    public double CopperWatts => _heat.Sum();

    /// <summary>Adds the heat to that of the unknowns, W.</summary>
    public void AddHeat(Span<double> heat)
    {
        for (int i = 0; i < heat.Length; i++) heat[i] += _heat[i];
    }

    /// <summary>What the currents do at the temperatures of the last step.</summary>
    public CurrentField Read() => _currents.Read();

    /// <summary>Takes the temperatures of a field that was solved with this heat.</summary>
    /// <param name="rise">K over ambient of each unknown.</param>
    /// <param name="tolerance">W of change below which the heat is left as it is.</param>
    /// <returns>How much the field's heat differs from what was put in, W in all.</returns>
    /// <exception cref="ThermalSolveException">The heat runs away.</exception>
    public double Update(double[] rise, double tolerance)
    {
        _currents.Solve(rise, _made);
        var change = new double[_heat.Length];
        double sum = 0;
        for (int i = 0; i < change.Length; i++) sum += Math.Abs(change[i] = _made[i] - _heat[i]);
        if (sum <= tolerance) return sum;
        ThrowIfRunaway(rise, change);
        Step(change);
        return sum;
    }

    private void ThrowIfRunaway(double[] rise, double[] change)
    {
        double growth = Growth(change);
        _growing = growth >= 1 && change.Sum() > 0 ? _growing + 1 : 0;
        bool melts = _ambient + rise.Max() > CopperResistivity.MeltingCelsius;
        if (_growing >= MostGrowing || melts)
        {
            throw new ThermalSolveException("The currents heat the copper, whose resistance rises with its temperature, without end: there is no steady state below copper's melting point.") { IsRunaway = true };
        }
    }

    /// <summary>Heat that the last step made more, over what it put in more.</summary>
    private double Growth(double[] change)
    {
        if (_lastHeat is null || _lastChange is null) return 0;
        double square = 0, along = 0;
        for (int i = 0; i < change.Length; i++)
        {
            double step = _heat[i] - _lastHeat[i];
            square += step * step;
            along += step * (step + change[i] - _lastChange[i]);
        }
        return square > 0 ? along / square : 0;
    }

    private void Step(double[] change)
    {
        double forward = 0;
        if (_lastHeat is not null && _lastChange is not null && Growth(change) < MostExtrapolated)
        {
            double square = 0, along = 0;
            for (int i = 0; i < change.Length; i++)
            {
                double turn = change[i] - _lastChange[i];
                square += turn * turn;
                along += change[i] * turn;
            }
            if (square > 0) forward = along / square;
        }
        var before = (double[])_heat.Clone();
        for (int i = 0; i < change.Length; i++)
        {
            double back = forward == 0 ? 0 : forward * (_heat[i] - _lastHeat![i] + change[i] - _lastChange![i]);
            _heat[i] += change[i] - back;
        }
        (_lastHeat, _lastChange) = (before, change);
    }
}
