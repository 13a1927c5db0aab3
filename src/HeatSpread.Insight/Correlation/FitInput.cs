using HeatSpread.Boards;

namespace HeatSpread.Insight.Correlation;

/// <summary>Something of the conditions that is not well known and is to be fitted.</summary>
/// <param name="Label">For people, such as <c>film of the top</c>.</param>
/// <param name="Unit">For people.</param>
/// <param name="Start">Where the fit begins; between the bounds.</param>
/// <param name="Least">Lower bound.</param>
/// <param name="Most">Upper bound, above the lower one.</param>
public sealed record FitInput(string Label, string Unit, double Start, double Least, double Most)
{
    /// <summary>Where both bounds are positive the fit and its interval are over the logarithm: a film is known to a factor, not to an amount.</summary>
    public bool IsLogarithmic => Least > 0;

    /// <summary>What the fit varies.</summary>
    internal double ToFit(double value) => IsLogarithmic ? Math.Log(value) : value;

    internal double FromFit(double fitted) => IsLogarithmic ? Math.Exp(fitted) : fitted;

    /// <summary>Change of the input for one of the fitted quantity.</summary>
    internal double PerFit(double value) => IsLogarithmic ? value : 1;
}

/// <param name="Name">For people.</param>
/// <param name="Reading">Of the solved board: where it was measured.</param>
/// <param name="Celsius">Measured.</param>
/// <param name="StandardUncertainty">Of the measurement, K, positive: one standard deviation.</param>
public sealed record MeasuredPoint(string Name, PointReading Reading, double Celsius, double StandardUncertainty)
{
    /// <summary>Standard uncertainty of an instrument of a tolerance ±a without further knowledge: a/√3 (Guide to the Expression of Uncertainty in Measurement, JCGM 100:2008, 4.3.7).</summary>
    public static double FromTolerance(double tolerance) => tolerance / Math.Sqrt(3);
}

/// <summary>A place of the board: a part's hottest node, or a point at the centre of a stack row.</summary>
/// <param name="Part">Index; null: a point.</param>
/// <param name="Row">Of the stack.</param>
/// <param name="At">Metres.</param>
public sealed record PointReading(int? Part, int Row, Point At)
{
    internal Thermal.LinearReading On(Thermal.SolvedNetwork solved) => Part is { } part ? solved.HottestOf(part) : FieldSample.ReadingAt(solved, Row, At);
}
