using System.Text.Json.Serialization;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Comparisons;

/// <summary>Solutions against one of them. It is whole in itself: removing the solutions leaves it, and its maps, as they are.</summary>
/// <param name="Id">Digest of what is compared and of the engine's build.</param>
/// <param name="Baseline">Id of the solution that the others are compared with.</param>
/// <param name="Unit">Of plan coordinates: <c>mm</c> or <c>inch</c>, the baseline's.</param>
/// <param name="ScaleKelvin">Largest difference on any map of the comparison: the common end of their scales.</param>
/// <param name="Candidates">In the order posted.</param>
internal sealed record ComparisonAnswer(string Id, string Baseline, string Unit, double ScaleKelvin, IReadOnlyList<CandidateAnswer> Candidates);

/// <param name="Solution">Id.</param>
/// <param name="Name">Of its layout.</param>
/// <param name="Revision">Of its layout.</param>
/// <param name="PeakDeltaKelvin">Its hottest place less the baseline's.</param>
/// <param name="Grid">On which both are compared.</param>
/// <param name="SolvedAgain">Ids of the solutions that were solved again for it, as their own grid was another; all figures here are of this grid.</param>
/// <param name="GridErrorKelvin">The larger of both solutions' estimates: the texts claim nothing below it.</param>
/// <param name="Layers">That both have, with their difference maps.</param>
/// <param name="Parts">Of both; what only one of them has is null in the other.</param>
/// <param name="Ledger">Where the difference comes from, part by part.</param>
/// <param name="Reports">Addresses of the candidate's report, with what changed against the baseline; they hold as long as its solution is kept.</param>
internal sealed record CandidateAnswer(
    string Solution,
    string Name,
    string Revision,
    double PeakDeltaKelvin,
    GridAnswer Grid,
    IReadOnlyList<string> SolvedAgain,
    double GridErrorKelvin,
    IReadOnlyList<DifferenceLayer> Layers,
    IReadOnlyList<PartDeltaAnswer> Parts,
    IReadOnlyList<LedgerAnswer> Ledger,
    ReportLinks Reports);

/// <param name="Name">Of the layer.</param>
/// <param name="MaxDeltaKelvin">Most that it got hotter anywhere.</param>
/// <param name="MinDeltaKelvin">Least that it got hotter anywhere; below 0 where it got cooler.</param>
/// <param name="Image">Address of the map.</param>
internal sealed record DifferenceLayer(string Name, double MaxDeltaKelvin, double MinDeltaKelvin, string Image);

/// <param name="Id">Of the part.</param>
/// <param name="PresentIn"><c>both</c>, <c>baseline</c> or <c>candidate</c>.</param>
/// <param name="BaselineCelsius">Its hottest temperature there; null where the baseline has no such part.</param>
/// <param name="Celsius">As the baseline's, of the candidate.</param>
/// <param name="DeltaKelvin">Null where only one has the part.</param>
internal sealed record PartDeltaAnswer(string Id, string PresentIn, double? BaselineCelsius, double? Celsius, double? DeltaKelvin);

/// <param name="Part">Id.</param>
/// <param name="DeltaKelvin">K that it is hotter in the candidate.</param>
/// <param name="Entries">They add up to it; the largest first, whichever their sign, the small ones as one at the end.</param>
internal sealed record LedgerAnswer(string Part, double DeltaKelvin, IReadOnlyList<EntryAnswer> Entries);

/// <summary>One change and what it does to the part. What does not belong to its kind is left out.</summary>
/// <param name="Kind"><c>copperAdded</c>, <c>copperRemoved</c>, <c>viasAdded</c>, <c>viasRemoved</c>, <c>wattsChanged</c>, <c>stackChanged</c>, <c>surfacesChanged</c>, <c>partChanged</c>, <c>outlineChanged</c>, <c>conductivityChanged</c> (the same materials at other temperatures), or <c>smallChanges</c> for the sum of the rest.</param>
/// <param name="Kelvin">K that the part is hotter for it.</param>
/// <param name="Text">The same as a sentence.</param>
/// <param name="Layer">Of copper the layer where most of it is; of the stack the row.</param>
/// <param name="Net">Of copper and vias.</param>
/// <param name="Part">Whose watts, pads or network changed.</param>
/// <param name="Surface"><c>ambient</c>, <c>top</c>, <c>bottom</c>, <c>edges</c>, <c>contacts</c> or <c>surfaces</c>.</param>
/// <param name="Area">Of copper on that layer, to an eighth of a cell.</param>
/// <param name="Pieces">Of copper, layer by layer, where it is on several.</param>
/// <param name="At">Centres of vias.</param>
/// <param name="Count">How many changes a sum holds.</param>
internal sealed record EntryAnswer(
    string Kind,
    double Kelvin,
    string Text,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] string? Layer,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] string? Net,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] string? Part,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] string? Surface,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] AreaAnswer? Area,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] IReadOnlyList<PieceAnswer>? Pieces,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] IReadOnlyList<double[]>? At,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] int? Count);

/// <param name="Layer">Name.</param>
/// <param name="AreaMm2">Exact.</param>
/// <param name="Kelvin">Its share of the entry.</param>
/// <param name="Area">To an eighth of a cell.</param>
internal sealed record PieceAnswer(string Layer, double AreaMm2, double Kelvin, AreaAnswer Area);

/// <summary>A MultiPolygon of RFC 7946.</summary>
/// <param name="Type"><c>MultiPolygon</c>.</param>
/// <param name="Coordinates">Polygons, each of rings: the outer one, then holes. The first point of a ring is its last too.</param>
internal sealed record AreaAnswer(string Type, IReadOnlyList<IReadOnlyList<IReadOnlyList<double[]>>> Coordinates);

internal sealed record ComparisonList(IReadOnlyList<ComparisonListItem> Comparisons);

/// <param name="Id">Of the comparison.</param>
/// <param name="Baseline">Id of a solution.</param>
/// <param name="Candidates">Ids of solutions.</param>
/// <param name="Created">When it was made.</param>
internal sealed record ComparisonListItem(string Id, string Baseline, IReadOnlyList<string> Candidates, DateTimeOffset Created);

/// <summary>What is kept beside a comparison.</summary>
internal sealed record ComparisonLabels(string Baseline, IReadOnlyList<string> Candidates, DateTimeOffset Created);
