using System.Text.Json;
using System.Text.Json.Serialization;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Studies;

internal enum StudyKind
{
    /// <summary>Every point of a grid or list of axes.</summary>
    [JsonStringEnumMemberName("sweep")]
    Sweep,

    /// <summary>Points drawn from the axes' distributions.</summary>
    [JsonStringEnumMemberName("sample")]
    Sample,

    /// <summary>What is allowed at each ambient temperature.</summary>
    [JsonStringEnumMemberName("derating")]
    Derating,

    /// <summary>The value of one axis at which a part meets its limit.</summary>
    [JsonStringEnumMemberName("plan")]
    Plan,

    /// <summary>What happens after heat is switched on.</summary>
    [JsonStringEnumMemberName("transient")]
    Transient,

    /// <summary>How well the model meets measurements, and with which values of what is not well known.</summary>
    [JsonStringEnumMemberName("correlation")]
    Correlation,
}

/// <summary>A study: the same shape while it waits, while it runs (with what is known so far) and when it is done. Numbers are not rounded; plan coordinates are in the layout's unit.</summary>
/// <param name="Id">Digest of all that was asked and of the engine's build.</param>
/// <param name="Layout">Id of the layout.</param>
/// <param name="Name">Of the layout.</param>
/// <param name="Revision">Of the layout.</param>
/// <param name="Unit">Of plan coordinates: <c>mm</c> or <c>inch</c>.</param>
/// <param name="Kind">What was asked for.</param>
/// <param name="State">As of a solution; <c>solved</c> when it is done.</param>
/// <param name="Progress">How far it is.</param>
/// <param name="Axes">What is varied, in the order posted.</param>
/// <param name="Parts">In the layout's order; lists of temperatures follow it.</param>
/// <param name="Probes">Names, in the layout's order; lists of temperatures follow it.</param>
/// <param name="BoardLimitCelsius">Null: none.</param>
/// <param name="Points">Those that are done, by their numbers; of a grid the last axis runs fastest.</param>
/// <param name="Tolerance">Of a sample that is done.</param>
/// <param name="Derating">Of a derating: what is known so far.</param>
/// <param name="Plan">Of a plan that is done.</param>
/// <param name="Transient">Of a transient that is done.</param>
/// <param name="Correlation">Of a correlation that is done.</param>
/// <param name="Accuracy">Of the base case; null until it is solved.</param>
/// <param name="Work">What it cost; null until it is done.</param>
/// <param name="Problem">Why it failed or was cancelled; else null.</param>
/// <param name="Conditions">As posted.</param>
/// <param name="Asked">As posted: <c>axes</c>, <c>combine</c>, <c>sample</c>, <c>derating</c>, <c>plan</c>, <c>transient</c>, <c>correlation</c>, <c>grid</c>, where given.</param>
internal sealed record StudyAnswer(
    string Id,
    string Layout,
    string Name,
    string Revision,
    string Unit,
    StudyKind Kind,
    SolutionState State,
    StudyProgress Progress,
    IReadOnlyList<StudyAxisAnswer> Axes,
    IReadOnlyList<StudyPartAnswer> Parts,
    IReadOnlyList<string> Probes,
    double? BoardLimitCelsius,
    IReadOnlyList<StudyPointAnswer> Points,
    ToleranceAnswer? Tolerance,
    DeratingAnswer? Derating,
    PlanAnswer? Plan,
    TransientStudyAnswer? Transient,
    CorrelationAnswer? Correlation,
    StudyAccuracy? Accuracy,
    StudyWorkAnswer? Work,
    ProblemBody? Problem,
    JsonElement Conditions,
    JsonElement Asked);

/// <param name="Done">Points, ambients of all curves, or trials that are done.</param>
/// <param name="Of">How many there will be; of a plan the most.</param>
/// <param name="Step">What is being done; null where it does not run.</param>
/// <param name="Percent">0 to 100.</param>
internal sealed record StudyProgress(int Done, int Of, string? Step, double Percent);

/// <param name="Label">For people, such as <c>watts of U1</c>.</param>
/// <param name="Unit">For people; empty for words and plain counts.</param>
/// <param name="Quantity">As posted; null for a pointer.</param>
/// <param name="Pointer">As posted; null for a quantity.</param>
/// <param name="Relative">Values are multiples of what the base has.</param>
/// <param name="Values">Of a sweep; numbers, or words such as orientations. Empty for a distribution.</param>
/// <param name="Distribution">Of a sample, as posted; else null.</param>
internal sealed record StudyAxisAnswer(string Label, string Unit, string? Quantity, string? Pointer, bool Relative, IReadOnlyList<JsonElement> Values, JsonElement? Distribution);

/// <param name="Id">Of the part.</param>
/// <param name="LimitCelsius">Null: none.</param>
internal sealed record StudyPartAnswer(string Id, double? LimitCelsius);

/// <param name="Index">Number of the point, from 0.</param>
/// <param name="At">Value of each axis: numbers, or words.</param>
/// <param name="Peak">The hottest place of all rows of the stack; null where there is a problem.</param>
/// <param name="PartCelsius">Hottest of each part.</param>
/// <param name="ProbeCelsius">Of each probe.</param>
/// <param name="Pass">No limit is exceeded.</param>
/// <param name="How"><c>superposed</c> from unit responses, exact as the board is linear there, or <c>solved</c>.</param>
/// <param name="Problem">Why there is no temperature at this point; else null.</param>
internal sealed record StudyPointAnswer(
    int Index, IReadOnlyList<JsonElement> At, StudyPeak? Peak, IReadOnlyList<double> PartCelsius, IReadOnlyList<double> ProbeCelsius, bool Pass, string How, ProblemBody? Problem);

/// <param name="Celsius">There.</param>
/// <param name="Layer">Name of the row.</param>
/// <param name="At">In the layout's unit.</param>
internal sealed record StudyPeak(double Celsius, string Layer, double[] At);

/// <param name="Samples">Points that have a temperature.</param>
/// <param name="Parts">In the layout's order.</param>
/// <param name="Text">What to specify tighter first, as sentences.</param>
internal sealed record ToleranceAnswer(int Samples, IReadOnlyList<PartToleranceAnswer> Parts, IReadOnlyList<string> Text);

/// <param name="Id">Of the part.</param>
/// <param name="LimitCelsius">Null: none.</param>
/// <param name="MeanCelsius">Of the sample.</param>
/// <param name="StandardDeviationKelvin">Of the sample.</param>
/// <param name="P5Celsius">5 of 100 are below.</param>
/// <param name="P50Celsius">Half are below.</param>
/// <param name="P95Celsius">95 of 100 are below.</param>
/// <param name="FirstOrderDeviationKelvin">Standard deviation by the derivatives at the middle of the distributions; null where there are none.</param>
/// <param name="Exceedance">Of the limit; null where there is none.</param>
/// <param name="LinearShare">Share of the sample's variance that a linear law in the inputs explains (R²): near 1, the shares are the whole story.</param>
/// <param name="Inputs">One an axis.</param>
internal sealed record PartToleranceAnswer(
    string Id, double? LimitCelsius, double MeanCelsius, double StandardDeviationKelvin, double P5Celsius, double P50Celsius, double P95Celsius, double? FirstOrderDeviationKelvin,
    ExceedanceAnswer? Exceedance, double LinearShare, IReadOnlyList<InputShareAnswer> Inputs);

/// <param name="Probability">Share of the sample above the limit.</param>
/// <param name="StandardError">Of sampling.</param>
/// <param name="Interval95">Wilson's interval: 95 of 100 such hold the true probability.</param>
internal sealed record ExceedanceAnswer(double Probability, double StandardError, double[] Interval95);

/// <param name="Axis">Index.</param>
/// <param name="Label">Of the axis.</param>
/// <param name="KelvinPerUnit">Derivative at the middle of the distributions; null where it was not found.</param>
/// <param name="Share">Of the first-order variance; null as the derivative.</param>
/// <param name="SampledShare">Of the sample's variance, by regression: the check of <paramref name="Share"/>.</param>
internal sealed record InputShareAnswer(int Axis, string Label, double? KelvinPerUnit, double? Share, double SampledShare);

/// <param name="Curves">One a quantity.</param>
internal sealed record DeratingAnswer(IReadOnlyList<DeratingCurveAnswer> Curves);

/// <param name="Quantity"><c>watts</c> of a part, <c>outputAmps</c> of the converter, or <c>allWatts</c>, a factor on the watts of all parts.</param>
/// <param name="Part">Id, for <c>watts</c>; else null.</param>
/// <param name="Label">For people.</param>
/// <param name="Unit"><c>W</c>, <c>A</c> or <c>times</c>.</param>
/// <param name="Base">What the base case has.</param>
/// <param name="How"><c>exact</c>, from the linear response, or <c>searched</c>, by solves between brackets.</param>
/// <param name="Points">By ambient temperature.</param>
/// <param name="NothingAboveCelsius">Ambient at which the curve reaches zero; null where that is not between the ambients asked for.</param>
/// <param name="Image">Address of the plot, PNG.</param>
/// <param name="Drawing">Address of the plot, SVG.</param>
/// <param name="Table">Address of the curve, CSV.</param>
internal sealed record DeratingCurveAnswer(
    string Quantity, string? Part, string Label, string Unit, double Base, string How, IReadOnlyList<DeratingPointAnswer> Points, double? NothingAboveCelsius, string Image, string Drawing, string Table);

/// <param name="AmbientCelsius">At which.</param>
/// <param name="Allowed">Most that keeps every limit; null where <paramref name="Outcome"/> is not <c>limited</c>.</param>
/// <param name="Outcome"><c>limited</c>; <c>nothing</c>, as a limit is exceeded with none; <c>unlimited</c>, as no limit depends on it.</param>
/// <param name="LimitedBy">Id of the part whose limit is met first, <c>board</c>, or <c>thermal runaway</c>; null where nothing limits.</param>
/// <param name="Limits">Each limit by itself.</param>
internal sealed record DeratingPointAnswer(double AmbientCelsius, double? Allowed, string Outcome, string? LimitedBy, IReadOnlyList<LimitAnswer> Limits);

/// <param name="Of">Id of a part, or <c>board</c>.</param>
/// <param name="LimitCelsius">The limit.</param>
/// <param name="Allowed">As that of the point.</param>
/// <param name="Outcome">As that of the point.</param>
internal sealed record LimitAnswer(string Of, double LimitCelsius, double? Allowed, string Outcome);

/// <param name="Outcome"><c>met</c> at <paramref name="Value"/>; <c>cannot</c> be met between the bounds.</param>
/// <param name="Part">Id.</param>
/// <param name="LimitCelsius">To be met.</param>
/// <param name="Value">Nearest to what the base has, within the search's resolution, at which the part meets the limit; null where it cannot.</param>
/// <param name="Celsius">Of the part at that value, by a solve of its own; null where there is none.</param>
/// <param name="Least">Lower bound of the search.</param>
/// <param name="Most">Upper bound of the search.</param>
/// <param name="BestCelsius">Coolest of all trials.</param>
/// <param name="AsymptoteCelsius">What the part's temperature tends to as the value grows without end, extrapolated from three solves; null where that was not asked or does not tend to anything.</param>
/// <param name="Trials">Every solve, by value.</param>
/// <param name="Text">The answer as a sentence.</param>
internal sealed record PlanAnswer(
    string Outcome, string Part, double LimitCelsius, double? Value, double? Celsius, double Least, double Most, double BestCelsius, double? AsymptoteCelsius, IReadOnlyList<TrialAnswer> Trials, string Text);

/// <param name="Value">Of the axis.</param>
/// <param name="Celsius">Of the part.</param>
internal sealed record TrialAnswer(double Value, double Celsius);

/// <param name="PitchMm">Of the grid.</param>
/// <param name="Unknowns">Of the base case.</param>
/// <param name="GridErrorKelvin">Bound on the grid's error of the base case's temperatures; it grows with the rise.</param>
internal sealed record StudyAccuracy(double PitchMm, int Unknowns, double GridErrorKelvin);

/// <param name="Rasters">Times that the copper was drawn on the study's grid.</param>
/// <param name="SetUps">Networks assembled.</param>
/// <param name="Solves">Fields solved, adjoints among them.</param>
/// <param name="Superposed">Points that needed no solve of their own.</param>
/// <param name="Seconds">In all.</param>
internal sealed record StudyWorkAnswer(int Rasters, int SetUps, int Solves, int Superposed, double Seconds);

internal sealed record StudyList(IReadOnlyList<StudyListItem> Studies);

/// <param name="Id">Of the study.</param>
/// <param name="Layout">Id.</param>
/// <param name="Name">Of the layout.</param>
/// <param name="Revision">Of the layout.</param>
/// <param name="Kind">What was asked for.</param>
/// <param name="State">As of the study.</param>
/// <param name="Created">When it was done; null where it is not.</param>
internal sealed record StudyListItem(string Id, string Layout, string Name, string Revision, StudyKind Kind, SolutionState State, DateTimeOffset? Created);

/// <summary>What is kept beside a study.</summary>
internal sealed record StudyLabels(string Layout, string Name, string Revision, StudyKind Kind, DateTimeOffset Created);
