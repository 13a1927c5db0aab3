using System.Globalization;
using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <summary>One solve of a search.</summary>
/// <param name="Value">Of the axis.</param>
/// <param name="Celsius">Of the part.</param>
public readonly record struct PlanTrial(double Value, double Celsius);

/// <param name="IsMet">The part meets its limit at <paramref name="Value"/>.</param>
/// <param name="Value">The least that meets it, within the resolution; null where none does.</param>
/// <param name="Celsius">Of the part there, by a solve at that value.</param>
/// <param name="BestCelsius">Coolest of all trials.</param>
/// <param name="AsymptoteCelsius">What the part tends to as the value grows without end, extrapolated; null where it was not needed or does not tend to anything.</param>
/// <param name="Trials">Every solve, by value.</param>
/// <param name="Text">The answer as a sentence.</param>
public sealed record PlanResult(bool IsMet, double? Value, double? Celsius, double BestCelsius, double? AsymptoteCelsius, IReadOnlyList<PlanTrial> Trials, string Text);

/// <summary>How much copper a part needs: the least value of an axis (vias, a width, a thickness) at which it meets its limit, by a bracketed search on solves.</summary>
public sealed class CopperPlan(StudyCases cases, StudySolver solver, StudyAxis axis, int part, double limitCelsius, double least, double most, double resolution)
{
    /// <summary>K below the limit that is near enough, for values that are not whole.</summary>
    private const double Kelvin = 0.02;

    /// <summary>Gain of a step over that of the one before, above which three steps do not tell the end.</summary>
    private const double MostRatio = 0.75;

    private readonly SortedDictionary<double, double> _trials = [];

    /// <param name="known">Trials of an earlier run.</param>
    /// <param name="tried">Told of each new one.</param>
    /// <exception cref="StudyCaseException">A variant is not sound.</exception>
    /// <exception cref="ThermalSolveException">A case has no field.</exception>
    /// <exception cref="OperationCanceledException">As the solver's token asks.</exception>
    public PlanResult Run(IEnumerable<PlanTrial> known, Action<PlanTrial> tried)
    {
        ArgumentNullException.ThrowIfNull(known);
        ArgumentNullException.ThrowIfNull(tried);
        foreach (var trial in known) _trials[trial.Value] = trial.Celsius;
        double atLeast = Celsius(least, tried), atMost = Celsius(most, tried);
        if (atLeast <= limitCelsius) return Met(least, atLeast);
        if (atMost > limitCelsius) return Cannot(tried);
        double found = Search(atLeast, atMost, tried);
        return Met(found, Celsius(found, tried));
    }

    /// <summary>From the end that meets the limit towards the one that does not. A resistance falls as one over what carries its heat, so the search goes by one over the value
    /// where that is there.</summary>
    private double Search(double atLeast, double atMost, Action<PlanTrial> tried)
    {
        bool inverse = least > 0;
        double Of(double value) => inverse ? 1 / value : value;
        double OnGrid(double place) => Of(Math.Round(Of(place)));
        double ofMost = Of(most), width = axis.IsWhole ? 0 : inverse ? resolution / (most * most) : resolution;
        var bracket = BracketedSearch.Root(
            place => Celsius(Tidy(Of(place)), tried) - limitCelsius, ofMost, atMost - limitCelsius, Of(least), atLeast - limitCelsius, axis.IsWhole ? 0 : Kelvin, width, axis.IsWhole ? OnGrid : null);
        return Tidy(Of(bracket.Low));
    }

    /// <summary>Whole values as they are; others to nine digits, so that one over one over a value is that value.</summary>
    private double Tidy(double value) => axis.IsWhole ? Math.Round(value) : double.Parse(value.ToString("G9", CultureInfo.InvariantCulture), CultureInfo.InvariantCulture);

    private double Celsius(double value, Action<PlanTrial> tried)
    {
        if (_trials.TryGetValue(value, out double known)) return known;
        double celsius = Solved(value);
        _trials[value] = celsius;
        tried(new(value, celsius));
        return celsius;
    }

    private double Solved(double value)
    {
        var studied = cases.At([axis], [value]);
        return StudyReader.Of(solver.Solve(studied)).Read(0, [1], studied.Conditions, isSuperposed: false).PartCelsius[part];
    }

    private PlanResult Met(double value, double celsius)
    {
        string text = Sentence($"With {axis.Label} at {Amount(value)}, {Name} is at {celsius:F1} °C and meets its limit of {limitCelsius:0.#} °C.");
        return new(true, value, celsius, _trials.Values.Min(), null, Trials, text);
    }

    private PlanResult Cannot(Action<PlanTrial> tried)
    {
        double? asymptote = BeyondBounds() ?? WithinBounds(tried);
        double best = _trials.Values.Min();
        string text = Sentence($"{Name} cannot be brought to {limitCelsius:0.#} °C by {axis.Label} up to {Amount(most)}: the best is {best:F1} °C, {best - limitCelsius:F1} K above.");
        if (asymptote is { } end)
        {
            text += end > limitCelsius
                ? Sentence($" Without any bound it tends to about {end:F1} °C, so more of it does not help.")
                : Sentence($" Without any bound it tends to about {end:F1} °C, so a larger value may do.");
        }
        return new(false, null, null, best, asymptote, Trials, text);
    }

    /// <summary>From 8 and 64 times the upper bound, whether or not it could be made; null where that is no sound case.</summary>
    private double? BeyondBounds()
    {
        const int far = 8;
        try
        {
            return Asymptote(_trials[most], Solved(most * far), Solved(most * far * far));
        }
        catch (Exception fault) when (fault is StudyCaseException or ThermalSolveException)
        {
            return null;
        }
    }

    private double? WithinBounds(Action<PlanTrial> tried)
    {
        double half = Round(most / 2), quarter = Round(most / 4);
        return quarter >= least && half > quarter && half < most ? Asymptote(Celsius(quarter, tried), Celsius(half, tried), Celsius(most, tried)) : null;
    }

    /// <summary>Of temperatures at a value, a multiple of it and that multiple again, which fall as a power of the value (Aitken, Proceedings of the Royal Society of Edinburgh
    /// 46, 1926, 289); null where they do not.</summary>
    public static double? Asymptote(double first, double second, double third)
    {
        double gained = second - first, last = third - second;
        if (Math.Abs(last) < 1e-6) return third;
        double ratio = last / gained;
        return ratio is > 0 and < MostRatio ? third + last * ratio / (1 - ratio) : null;
    }

    private double Round(double value) => axis.IsWhole ? Math.Round(value) : value;

    private string Name => cases.Base.Board.Parts[part].Id;

    private IReadOnlyList<PlanTrial> Trials => [.. _trials.Select(trial => new PlanTrial(trial.Key, trial.Value))];

    private string Amount(double value) => Sentence($"{value:0.###}{(axis.Unit.Length > 0 ? " " + axis.Unit : "")}");

    private static string Sentence(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
