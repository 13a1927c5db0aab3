namespace HeatSpread.Insight.Correlation;

/// <summary>How well a model meets measurements, and with which values of its uncertain inputs.</summary>
/// <param name="Inputs">In the order given.</param>
/// <param name="Points">In the order given.</param>
/// <param name="ChiSquare">Sum of the squares of residuals over standard uncertainties.</param>
/// <param name="DegreesOfFreedom">Points less inputs.</param>
/// <param name="Correlations">Of the inputs' errors with each other, -1 to 1, <c>[input][input]</c>.</param>
/// <param name="NotToldApart">As sentences: inputs that the points say little about, alone or against each other.</param>
/// <param name="Converged">A minimum was found.</param>
/// <param name="Iterations">Of the fit.</param>
/// <param name="Solves">Fields solved, derivatives among them.</param>
public sealed record CorrelationResult(
    IReadOnlyList<FittedInput> Inputs, IReadOnlyList<FittedPoint> Points, double ChiSquare, int DegreesOfFreedom, IReadOnlyList<IReadOnlyList<double>> Correlations, IReadOnlyList<string> NotToldApart, bool Converged, int Iterations, int Solves)
{
    /// <summary>Root of the mean square of the residuals, K.</summary>
    public double RootMeanSquareKelvin => Math.Sqrt(Points.Average(point => point.ResidualKelvin * point.ResidualKelvin));

    /// <summary>Whether the points miss the model by no more than their uncertainty explains: χ² below its 95 % quantile (Wilson and Hilferty 1931); true without degrees of freedom.</summary>
    public bool IsWithinUncertainty
    {
        get
        {
            if (DegreesOfFreedom == 0) return true;
            double spread = 2.0 / (9 * DegreesOfFreedom);
            return ChiSquare <= DegreesOfFreedom * Math.Pow(1 - spread + 1.644854 * Math.Sqrt(spread), 3);
        }
    }
}

/// <param name="Label">As given.</param>
/// <param name="Unit">As given.</param>
/// <param name="Start">As given.</param>
/// <param name="Value">Fitted.</param>
/// <param name="StandardError">One standard deviation; infinite where the points tell nothing of it.</param>
/// <param name="Least95">95 % interval, lower end.</param>
/// <param name="Most95">95 % interval, upper end.</param>
/// <param name="IsTold">The points tell it.</param>
/// <param name="IsAtBound">It came to lie at one of its bounds: interval and error then mean little.</param>
public sealed record FittedInput(string Label, string Unit, double Start, double Value, double StandardError, double Least95, double Most95, bool IsTold, bool IsAtBound);

/// <param name="Name">As given.</param>
/// <param name="MeasuredCelsius">As given.</param>
/// <param name="ComputedCelsius">With the fitted inputs.</param>
/// <param name="StandardUncertainty">As given, K.</param>
public sealed record FittedPoint(string Name, double MeasuredCelsius, double ComputedCelsius, double StandardUncertainty)
{
    /// <summary>Measured less computed.</summary>
    public double ResidualKelvin => MeasuredCelsius - ComputedCelsius;

    /// <summary>In standard uncertainties.</summary>
    public double Normalised => ResidualKelvin / StandardUncertainty;
}
