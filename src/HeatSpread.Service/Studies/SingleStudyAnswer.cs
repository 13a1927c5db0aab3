namespace HeatSpread.Service.Studies;

/// <param name="PitchMm">Of the grid.</param>
/// <param name="Unknowns">Of the network.</param>
/// <param name="SteadyCelsius">Of each part under the conditions as posted, in the layout's order.</param>
/// <param name="Schedule">Null where none was asked for.</param>
/// <param name="Impedances">One a part asked for.</param>
/// <param name="Pulse">Null where none was asked for.</param>
/// <param name="Warnings">What the figures rest on that may surprise.</param>
/// <param name="Steps">Of time, in all.</param>
internal sealed record TransientStudyAnswer(
    double PitchMm, int Unknowns, IReadOnlyList<double> SteadyCelsius, ScheduleAnswer? Schedule, IReadOnlyList<ImpedanceAnswer> Impedances, PulseAnswer? Pulse, IReadOnlyList<string> Warnings, int Steps);

/// <param name="Seconds">Since the start, ascending.</param>
/// <param name="PeakCelsius">The hottest that stores heat, one a moment.</param>
/// <param name="PartCelsius">Of each part in the layout's order, one a moment.</param>
/// <param name="Image">Address of the plot.</param>
internal sealed record ScheduleAnswer(IReadOnlyList<double> Seconds, IReadOnlyList<double> PeakCelsius, IReadOnlyList<IReadOnlyList<double>> PartCelsius, string Image);

/// <param name="Part">Id of the part that a watt is switched on in, and that is read.</param>
/// <param name="Seconds">Since then, ascending.</param>
/// <param name="KelvinPerWatt">One a moment.</param>
/// <param name="SettledKelvinPerWatt">After all time.</param>
/// <param name="Linear">False: of small changes about the steady state, as films depend on temperature.</param>
/// <param name="Image">Address of the plot of all impedances.</param>
internal sealed record ImpedanceAnswer(string Part, IReadOnlyList<double> Seconds, IReadOnlyList<double> KelvinPerWatt, double SettledKelvinPerWatt, bool Linear, string Image);

/// <param name="Part">Id.</param>
/// <param name="PeakCelsius">At the end of each pulse, after so many that all are alike.</param>
/// <param name="TroughCelsius">At the start of each.</param>
/// <param name="MeanCelsius">Of the period.</param>
internal sealed record PulseAnswer(string Part, double PeakCelsius, double TroughCelsius, double MeanCelsius);

/// <param name="PitchMm">Of the grid.</param>
/// <param name="Inputs">Fitted, in the order posted.</param>
/// <param name="Points">Measured against computed; those of a photograph after the others.</param>
/// <param name="RootMeanSquareKelvin">Of the residuals.</param>
/// <param name="ChiSquare">Sum of squares of the residuals over their standard uncertainties.</param>
/// <param name="DegreesOfFreedom">Points less inputs.</param>
/// <param name="WithinUncertainty">The residuals are no greater than the points' uncertainty explains (χ², 95 %).</param>
/// <param name="ErrorCorrelations">Of the inputs with each other, -1 to 1.</param>
/// <param name="Text">What the points cannot tell, as sentences.</param>
/// <param name="Converged">A minimum was found.</param>
/// <param name="Image">Address of the plot of measured against computed.</param>
internal sealed record CorrelationAnswer(
    double PitchMm, IReadOnlyList<FittedInputAnswer> Inputs, IReadOnlyList<FittedPointAnswer> Points, double RootMeanSquareKelvin, double ChiSquare, int DegreesOfFreedom, bool WithinUncertainty,
    IReadOnlyList<IReadOnlyList<double>> ErrorCorrelations, IReadOnlyList<string> Text, bool Converged, string Image);

/// <param name="Label">For people.</param>
/// <param name="Unit">For people; empty for a share.</param>
/// <param name="Start">Where the fit began.</param>
/// <param name="Value">Fitted.</param>
/// <param name="StandardError">One standard deviation; null where the points tell nothing of it.</param>
/// <param name="Interval95">95 % interval; the bounds where the points tell nothing.</param>
/// <param name="Told">The points tell it.</param>
/// <param name="AtBound">It lies at one of its bounds: its error then means little.</param>
internal sealed record FittedInputAnswer(string Label, string Unit, double Start, double Value, double? StandardError, double[] Interval95, bool Told, bool AtBound);

/// <param name="Name">As posted, or its place.</param>
/// <param name="MeasuredCelsius">As posted.</param>
/// <param name="ComputedCelsius">With the fitted inputs.</param>
/// <param name="ResidualKelvin">Measured less computed.</param>
/// <param name="StandardUncertaintyKelvin">Of the measurement.</param>
internal sealed record FittedPointAnswer(string Name, double MeasuredCelsius, double ComputedCelsius, double ResidualKelvin, double StandardUncertaintyKelvin);
