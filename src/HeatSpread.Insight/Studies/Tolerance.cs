using System.Globalization;
using MathNet.Numerics.LinearRegression;

namespace HeatSpread.Insight.Studies;

/// <param name="Probability">Share of the sample above the limit.</param>
/// <param name="StandardError">Of sampling, of the binomial distribution.</param>
/// <param name="Low">Lower end of Wilson's interval of 95 %.</param>
/// <param name="High">Upper end.</param>
public sealed record Exceedance(double Probability, double StandardError, double Low, double High)
{
    private const double Quantile95 = 1.959964;

    /// <summary>Wilson's score interval (Journal of the American Statistical Association 22, 1927, 209), which says something too where none of the sample, or all of it, is
    /// above.</summary>
    public static Exceedance Of(int above, int samples)
    {
        double p = (double)above / samples, square = Quantile95 * Quantile95;
        double middle = (p + square / (2 * samples)) / (1 + square / samples), half = Quantile95 / (1 + square / samples) * Math.Sqrt(p * (1 - p) / samples + square / (4.0 * samples * samples));
        return new(p, Math.Sqrt(p * (1 - p) / samples), Math.Max(0, middle - half), Math.Min(1, middle + half));
    }
}

/// <param name="KelvinPerUnit">Derivative at the means; null where it was not found.</param>
/// <param name="Share">Of the first-order variance; null as the derivative.</param>
/// <param name="SampledShare">Square of the standardised regression coefficient: of the sample's variance.</param>
public sealed record InputShare(double? KelvinPerUnit, double? Share, double SampledShare);

/// <param name="Mean">°C.</param>
/// <param name="StandardDeviation">K, of the sample.</param>
/// <param name="P5">°C, 5 of 100 are below.</param>
/// <param name="P50">°C.</param>
/// <param name="P95">°C.</param>
/// <param name="FirstOrderDeviation">K, by the derivatives; null where one is missing.</param>
/// <param name="Exceedance">Of the part's limit; null where it has none.</param>
/// <param name="LinearShare">Share of the sample's variance that a linear law in the inputs explains.</param>
/// <param name="Inputs">One an axis.</param>
public sealed record PartTolerance(
    double Mean, double StandardDeviation, double P5, double P50, double P95, double? FirstOrderDeviation, Exceedance? Exceedance, double LinearShare, IReadOnlyList<InputShare> Inputs);

/// <summary>How the spread of inputs spreads the parts' temperatures, and which input does it.</summary>
public static class Tolerance
{
    /// <param name="plan">A sample.</param>
    /// <param name="results">Of its points; those without a temperature are left out.</param>
    /// <param name="limits">°C of each part; null: none.</param>
    /// <param name="derivatives">As <see cref="InputDerivatives"/> finds them.</param>
    /// <returns>One a part; empty where fewer than two points have a temperature.</returns>
    public static IReadOnlyList<PartTolerance> Of(StudyPlan plan, IReadOnlyList<PointResult> results, IReadOnlyList<double?> limits, double?[][] derivatives)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(results);
        ArgumentNullException.ThrowIfNull(limits);
        ArgumentNullException.ThrowIfNull(derivatives);
        PointResult[] sound = [.. results.Where(result => result.Problem is null).OrderBy(result => result.Index)];
        if (sound.Length < 2) return [];
        double[][] inputs = [.. sound.Select(result => plan.Points[result.Index])];
        double[] deviations = [.. plan.Axes.Select(axis => axis.Distribution!.StandardDeviation)];
        return [.. limits.Select((limit, part) => OfPart([.. sound.Select(result => result.PartCelsius[part])], inputs, limit, derivatives[part], deviations))];
    }

    /// <summary>Quantile of sorted values, linear between them (definition 7 of Hyndman and Fan, The American Statistician 50, 1996, 361).</summary>
    public static double Quantile(IReadOnlyList<double> sorted, double share)
    {
        ArgumentNullException.ThrowIfNull(sorted);
        double place = share * (sorted.Count - 1);
        int below = (int)Math.Floor(place), above = Math.Min(below + 1, sorted.Count - 1);
        return sorted[below] + (place - below) * (sorted[above] - sorted[below]);
    }

    /// <summary>What to specify tighter first, a sentence for each part that has a limit, the nearest to it first.</summary>
    public static IReadOnlyList<string> Advice(StudyPlan plan, IReadOnlyList<string> ids, IReadOnlyList<double?> limits, IReadOnlyList<PartTolerance> parts)
    {
        ArgumentNullException.ThrowIfNull(plan);
        ArgumentNullException.ThrowIfNull(ids);
        ArgumentNullException.ThrowIfNull(limits);
        ArgumentNullException.ThrowIfNull(parts);
        return [.. Enumerable.Range(0, parts.Count).Where(part => limits[part] is not null).OrderByDescending(part => parts[part].P95 - limits[part]!.Value).Select(part => Sentence(plan, ids[part], limits[part]!.Value, parts[part]))];
    }

    private static string Sentence(StudyPlan plan, string id, double limit, PartTolerance part)
    {
        var (input, axis) = part.Inputs.Select((input, axis) => (Input: input, Axis: axis)).MaxBy(each => each.Input.Share ?? each.Input.SampledShare);
        double margin = limit - part.P95, share = input.Share ?? input.SampledShare;
        return string.Create(CultureInfo.InvariantCulture, $"{id}: 95 of 100 stay below {part.P95:F1} °C, {Math.Abs(margin):F1} K {(margin >= 0 ? "below" : "above")} the limit of {limit:0.#} °C; {100 * share:F0} % of the spread comes from {plan.Axes[axis].Label}.");
    }

    private static PartTolerance OfPart(double[] celsius, double[][] inputs, double? limit, double?[] derivatives, double[] deviations)
    {
        double[] sorted = [.. celsius.Order()];
        double mean = celsius.Average(), variance = celsius.Sum(value => (value - mean) * (value - mean)) / (celsius.Length - 1);
        double? firstOrder = derivatives.All(derivative => derivative is not null) ? derivatives.Zip(deviations, (derivative, deviation) => Math.Pow(derivative!.Value * deviation, 2)).Sum() : null;
        var (sampled, linear) = Regression(celsius, inputs, variance);
        var shares = derivatives.Select((derivative, axis) => new InputShare(derivative, firstOrder > 0 ? Math.Pow(derivative!.Value * deviations[axis], 2) / firstOrder : null, sampled[axis]));
        var exceedance = limit is null ? null : Exceedance.Of(celsius.Count(value => value > limit), celsius.Length);
        return new(mean, Math.Sqrt(variance), Quantile(sorted, 0.05), Quantile(sorted, 0.5), Quantile(sorted, 0.95), firstOrder is { } square ? Math.Sqrt(square) : null, exceedance, linear, [.. shares]);
    }

    /// <summary>Least squares on all inputs together: for a law that is linear in independent inputs the squares of the standardised coefficients are the first-order indices of
    /// Sobol.</summary>
    private static (double[] Shares, double Linear) Regression(double[] celsius, double[][] inputs, double variance)
    {
        int axes = inputs[0].Length, count = celsius.Length;
        double[] means = [.. Enumerable.Range(0, axes).Select(axis => inputs.Average(input => input[axis]))];
        double[] spreads = [.. Enumerable.Range(0, axes).Select(axis => Math.Sqrt(inputs.Sum(input => Math.Pow(input[axis] - means[axis], 2)) / (count - 1)))];
        if (variance <= 0 || count < axes + 2 || spreads.Any(spread => spread <= 0)) return (new double[axes], 0);
        double mean = celsius.Average();
        double[][] scaled = [.. inputs.Select(input => input.Select((value, axis) => (value - means[axis]) / spreads[axis]).ToArray())];
        double[] centred = [.. celsius.Select(value => value - mean)];
        double[] slopes = MultipleRegression.QR(scaled, centred);
        double missed = scaled.Zip(centred, (input, value) => Math.Pow(value - input.Zip(slopes, (x, slope) => x * slope).Sum(), 2)).Sum();
        return ([.. slopes.Select(slope => slope * slope / variance)], 1 - missed / (variance * (count - 1)));
    }
}
