using HeatSpread.Boards;
using HeatSpread.Thermal.Converters;
using HeatSpread.Thermal.Currents;

namespace HeatSpread.Thermal.Coupling;

/// <summary>
/// Heat that depends on the temperatures it makes: of currents in the copper and of a converter's two parts. Fixed-point iteration, one step after each solve of the field: what a field's temperatures make is put into the
/// next solve, extrapolated along the last step (Anderson, J. ACM 12, 1965, 547, of depth one). Started cold, the plain iteration climbs to the lowest steady state where there is
/// one, as more heat is hotter everywhere and hotter copper makes more heat; where a step makes more heat than it was, there is none.
/// </summary>
internal sealed class CoupledHeat
{
    /// <summary>Steps one after the other that grew, after which the heat is said to run away.</summary>
    private const int MostGrowing = 3;

    /// <summary>Growth of heat over growth of heat put in, from which on nothing is extrapolated.</summary>
    private const double MostExtrapolated = 0.99;

    private readonly CopperCurrents? _currents;
    private readonly ConverterHeat? _converter;
    private readonly double _ambient;
    private readonly int _unknowns;

    // W into each unknown from the copper, then of the converter's part and of its inductor.
    private readonly double[] _heat;
    private readonly double[] _made;
    private double[]? _lastHeat;
    private double[]? _lastChange;
    private int _growing;

    private CoupledHeat(CopperCurrents? currents, ConverterHeat? converter, double ambientCelsius, int unknowns)
    {
        (_currents, _converter, _ambient, _unknowns) = (currents, converter, ambientCelsius, unknowns);
        _heat = new double[unknowns + 2];
        _made = new double[unknowns + 2];
        if (!Make(new double[unknowns]))
        {
            throw new ThermalSolveException("The converter has no operating point.") { Faults = [new Fault("/converter", "The converter has no operating point even at ambient temperature: its drops leave less than the output asked for, or its inductor alone loses more than the efficiency admits.")] };
        }
        _made.CopyTo(_heat, 0);
        PutConverter();
    }

    /// <summary>W of all copper, as put into the last solve.</summary>
    public double CopperWatts => _currents is null ? 0 : _heat.AsSpan(0, _unknowns).ToArray().Sum();

    /// <summary>What the currents do at the temperatures of the last step; null without any.</summary>
    public CurrentField? Currents => _currents?.Read();

    /// <summary>The converter at the temperatures of the last step; null without one.</summary>
    public ConverterReading? Converter => _converter?.Reading;

    /// <summary>At ambient temperature; null where no heat depends on temperature.</summary>
    /// <exception cref="ThermalSolveException">The converter has no operating point.</exception>
    public static CoupledHeat? Start(CopperCurrents? currents, ConverterHeat? converter, double ambientCelsius, int unknowns) =>
        currents is null && converter is null ? null : new CoupledHeat(currents, converter, ambientCelsius, unknowns);

    /// <summary>Adds the copper's heat to that of the unknowns, W; the converter's is that of its parts.</summary>
    public void AddHeat(Span<double> heat)
    {
        if (_currents is null) return;
        for (int i = 0; i < heat.Length; i++) heat[i] += _heat[i];
    }

    /// <summary>Takes the temperatures of a field that was solved with this heat.</summary>
    /// <param name="rise">K over ambient of each unknown.</param>
    /// <param name="tolerance">W of change below which the heat is left as it is.</param>
    /// <returns>How much the field's heat differs from what was put in, W in all.</returns>
    /// <exception cref="ThermalSolveException">The heat runs away.</exception>
    public double Update(double[] rise, double tolerance)
    {
        bool melts = _ambient + rise.Max() > CopperResistivity.MeltingCelsius;
        if (melts || !Make(rise)) throw Runaway();
        var change = new double[_heat.Length];
        double sum = 0;
        for (int i = 0; i < change.Length; i++) sum += Math.Abs(change[i] = _made[i] - _heat[i]);
        if (sum <= tolerance) return sum;
        ThrowIfGrowing(change);
        Step(change);
        PutConverter();
        return sum;
    }

    /// <summary>The heat at a field's temperatures; false where the converter has no operating point at them.</summary>
    private bool Make(double[] rise)
    {
        if (_currents is null) Array.Clear(_made);
        else _currents.Solve(rise, _made);
        if (_converter is null) return true;
        if (_converter.At(rise) is not { } watts) return false;
        (_made[_unknowns], _made[_unknowns + 1]) = watts;
        return true;
    }

    private void PutConverter() => _converter?.Put(_heat[_unknowns], _heat[_unknowns + 1]);

    private void ThrowIfGrowing(double[] change)
    {
        double growth = Growth(change);
        _growing = growth >= 1 && change.Sum() > 0 ? _growing + 1 : 0;
        if (_growing >= MostGrowing) throw Runaway();
    }

    private ThermalSolveException Runaway()
    {
        string what = _converter is null ? "The currents heat the copper, whose resistance rises with its temperature" : _currents is null ? "The converter's losses heat its resistances, which rise with their temperature" : "The losses of the converter and of the currents heat resistances that rise with their temperature";
        return new ThermalSolveException(what + ", without end: there is no steady state below copper's melting point.") { IsRunaway = true };
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
