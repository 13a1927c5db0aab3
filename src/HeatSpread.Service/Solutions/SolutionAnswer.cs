using System.Text.Json;
using System.Text.Json.Serialization;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Solutions;

internal enum SolutionState
{
    [JsonStringEnumMemberName("queued")]
    Queued,
    [JsonStringEnumMemberName("running")]
    Running,
    [JsonStringEnumMemberName("solved")]
    Solved,
    [JsonStringEnumMemberName("failed")]
    Failed,
    [JsonStringEnumMemberName("cancelled")]
    Cancelled,
}

/// <summary>A solved board. Numbers are not rounded.</summary>
/// <param name="Id">Digest of layout, conditions, grid and the engine's build.</param>
/// <param name="Layout">Id of the layout.</param>
/// <param name="Name">Of the layout.</param>
/// <param name="Revision">Of the layout.</param>
/// <param name="Unit">Of the plan coordinates in <c>at</c>: <c>mm</c> or <c>inch</c>.</param>
/// <param name="State"><c>solved</c>.</param>
/// <param name="Verdict">Against the limits of parts and board.</param>
/// <param name="Peak">The hottest place of all rows of the stack, without part nodes.</param>
/// <param name="Layers">Copper layers, top to bottom.</param>
/// <param name="Parts">In the layout's order.</param>
/// <param name="Probes">In the layout's order.</param>
/// <param name="Currents">In the conditions' order.</param>
/// <param name="Converter">Null where the conditions have none.</param>
/// <param name="Hotspots">Hottest first.</param>
/// <param name="Findings">Why it is hot: largest gain first.</param>
/// <param name="Edits">As many as were asked for with <c>suggest</c>, largest gain first.</param>
/// <param name="Vias">What each entry of the layout's <c>vias</c> carries.</param>
/// <param name="ViaNets">What the vias of each net carry together.</param>
/// <param name="Heat">Where it goes.</param>
/// <param name="Surfaces">How each side gives it off.</param>
/// <param name="Warnings">Where the field leaves what its figures hold for: melting solder, materials and air beyond their data, films beyond their range, a converter beyond its loss model. They name place and amount.</param>
/// <param name="Accuracy">What the numbers are worth.</param>
/// <param name="Seconds">By step.</param>
/// <param name="Reports">Addresses of the report that a reviewer files.</param>
/// <param name="Conditions">As posted.</param>
/// <param name="Grid">As posted; null where it was left out.</param>
internal sealed record SolutionAnswer(
    string Id,
    string Layout,
    string Name,
    string Revision,
    string Unit,
    SolutionState State,
    VerdictAnswer Verdict,
    PeakAnswer Peak,
    IReadOnlyList<LayerAnswer> Layers,
    IReadOnlyList<PartAnswer> Parts,
    IReadOnlyList<ProbeAnswer> Probes,
    IReadOnlyList<CurrentAnswer> Currents,
    ConverterAnswer? Converter,
    IReadOnlyList<HotSpotAnswer> Hotspots,
    IReadOnlyList<FindingAnswer> Findings,
    IReadOnlyList<EditAnswer> Edits,
    IReadOnlyList<ViaAnswer> Vias,
    IReadOnlyList<NetViaAnswer> ViaNets,
    HeatAnswer Heat,
    SurfacesAnswer Surfaces,
    IReadOnlyList<string> Warnings,
    AccuracyAnswer Accuracy,
    SecondsAnswer Seconds,
    ReportLinks Reports,
    JsonElement Conditions,
    JsonElement Grid);

/// <param name="Html">One page that asks for nothing else.</param>
/// <param name="Pdf">The same on paper; <c>?paper=letter</c> for other paper than A4.</param>
internal sealed record ReportLinks(string Html, string Pdf);

/// <param name="Pass">No limit is exceeded.</param>
/// <param name="Reasons">A sentence for each limit exceeded.</param>
internal sealed record VerdictAnswer(bool Pass, IReadOnlyList<string> Reasons);

/// <param name="Celsius">There.</param>
/// <param name="Layer">Name of the row.</param>
/// <param name="At">In the layout's unit.</param>
/// <param name="Net">Null where there is none.</param>
/// <param name="GridErrorKelvin">Bound on the grid's error of the temperature.</param>
internal sealed record PeakAnswer(double Celsius, string Layer, double[] At, string? Net, double GridErrorKelvin);

/// <param name="Name">Of the layer.</param>
/// <param name="MaxCelsius">Over the whole row, laminate included.</param>
/// <param name="MinCelsius">As the maximum.</param>
/// <param name="MeanCelsius">By area.</param>
/// <param name="CopperShare">Of the board's area.</param>
/// <param name="Grid">Of the fields.</param>
/// <param name="Image">Address of the map.</param>
/// <param name="CurrentImage">Address of the map of current density; null where the conditions have no currents.</param>
internal sealed record LayerAnswer(string Name, double MaxCelsius, double MinCelsius, double MeanCelsius, double CopperShare, GridAnswer Grid, string Image, string? CurrentImage);

/// <param name="Origin">Lower left corner of the outline's bounding box, mm.</param>
/// <param name="PitchMm">Along x and y.</param>
/// <param name="Columns">Cells along x.</param>
/// <param name="Rows">Cells along y.</param>
internal sealed record GridAnswer(double[] Origin, double[] PitchMm, int Columns, int Rows)
{
    /// <summary>A grid as it was written, back.</summary>
    public static BoardGrid Read(JsonElement written)
    {
        var (origin, pitch) = (written.GetProperty("origin"), written.GetProperty("pitchMm"));
        return new()
        {
            Origin = new(origin[0].GetDouble() * 1e-3, origin[1].GetDouble() * 1e-3),
            PitchX = pitch[0].GetDouble() * 1e-3,
            PitchY = pitch[1].GetDouble() * 1e-3,
            Columns = written.GetProperty("columns").GetInt32(),
            Rows = written.GetProperty("rows").GetInt32(),
        };
    }

    /// <summary>In metres.</summary>
    public BoardGrid InMeters() => new() { Origin = new(Origin[0] * 1e-3, Origin[1] * 1e-3), PitchX = PitchMm[0] * 1e-3, PitchY = PitchMm[1] * 1e-3, Columns = Columns, Rows = Rows };
}

/// <param name="Id">Of the part.</param>
/// <param name="Watts">Made in it.</param>
/// <param name="MaxCelsius">Its hottest node, or the board under its pads.</param>
/// <param name="GridErrorKelvin">Bound on the grid's error of that temperature.</param>
/// <param name="LimitCelsius">Null: none given.</param>
/// <param name="MarginKelvin">Limit less maximum.</param>
/// <param name="Nodes">Temperatures by name, °C.</param>
/// <param name="Terminals">In the layout's order.</param>
/// <param name="Paths">By what its heat leaves it; they add up to its watts.</param>
internal sealed record PartAnswer(
    string Id, double Watts, double MaxCelsius, double GridErrorKelvin, double? LimitCelsius, double? MarginKelvin, IReadOnlyDictionary<string, double> Nodes, IReadOnlyList<TerminalAnswer> Terminals, IReadOnlyList<PathAnswer> Paths);

/// <param name="Name">Of the terminal.</param>
/// <param name="Celsius">Mean over its pad.</param>
/// <param name="Watts">What flows into the board there.</param>
internal sealed record TerminalAnswer(string Name, double Celsius, double Watts);

/// <param name="Name">As given; the net's where none was.</param>
/// <param name="Net">Name.</param>
/// <param name="Amps">As given.</param>
/// <param name="DropMillivolts">From where it enters the copper to where it leaves it, all currents of the net flowing.</param>
/// <param name="CopperWatts">Amps times drop; the currents of a net add up to what its copper and vias lose.</param>
/// <param name="PeakAmpsPerMm2">Greatest mean over a cell of the current density in the net's copper, vias left out.</param>
/// <param name="At">Where that is, in the layout's unit.</param>
/// <param name="Layer">Its layer.</param>
internal sealed record CurrentAnswer(string Name, string Net, double Amps, double DropMillivolts, double CopperWatts, double PeakAmpsPerMm2, double[] At, string Layer);

/// <param name="Name">Of the probe.</param>
/// <param name="Celsius">There.</param>
/// <param name="GridErrorKelvin">Bound on the grid's error of that temperature.</param>
internal sealed record ProbeAnswer(string Name, double Celsius, double GridErrorKelvin);

/// <param name="Part">Id of the part with the switches.</param>
/// <param name="Inductor">Id.</param>
/// <param name="Topology"><c>buck</c> or <c>boost</c>.</param>
/// <param name="DutyRatio">Share of the period during which the controlled switch is on.</param>
/// <param name="InductorAmps">Mean.</param>
/// <param name="RippleAmps">Peak to peak, of the inductor's current; 0 where the inductance was not given.</param>
/// <param name="InputWatts">Output and all losses; losses of currents in the copper are not among them.</param>
/// <param name="OutputWatts">Volts times amps.</param>
/// <param name="Efficiency">Output over input.</param>
/// <param name="PartCelsius">Where the part's heat is made; its resistances are taken at it.</param>
/// <param name="InductorCelsius">As <paramref name="PartCelsius"/>.</param>
/// <param name="Losses">By part and kind.</param>
/// <param name="Warnings">Where the point lies outside what the loss model holds for (discontinuous conduction), and watts of the layout that it took the place of.</param>
internal sealed record ConverterAnswer(
    string Part, string Inductor, string Topology, double DutyRatio, double InductorAmps, double RippleAmps, double InputWatts, double OutputWatts, double Efficiency, double PartCelsius, double InductorCelsius,
    IReadOnlyList<ConverterLossAnswer> Losses, IReadOnlyList<string> Warnings);

/// <param name="Part">Id.</param>
/// <param name="Kind">What it is lost by.</param>
/// <param name="Watts">Lost.</param>
internal sealed record ConverterLossAnswer(string Part, string Kind, double Watts);

/// <param name="Rank">1 is the hottest.</param>
/// <param name="Celsius">At its top.</param>
/// <param name="Layer">Name.</param>
/// <param name="At">In the layout's unit.</param>
/// <param name="Net">Null where there is none.</param>
/// <param name="Part">Id of the part there, or null.</param>
internal sealed record HotSpotAnswer(int Rank, double Celsius, string Layer, double[] At, string? Net, string? Part);

/// <param name="DissipatedWatts">Made in the board.</param>
/// <param name="TopWatts">Given off by the top, without contacts; so the other sides.</param>
/// <param name="BottomWatts">As the top.</param>
/// <param name="EdgesWatts">By the rim.</param>
/// <param name="ContactsWatts">By all contacts.</param>
/// <param name="PartsWatts">By the parts' links to ambient.</param>
/// <param name="ImbalanceWatts">Made less given off.</param>
/// <param name="Contacts">One by one, in the order of the conditions.</param>
internal sealed record HeatAnswer(
    double DissipatedWatts, double TopWatts, double BottomWatts, double EdgesWatts, double ContactsWatts, double PartsWatts, double ImbalanceWatts, IReadOnlyList<ContactAnswer> Contacts);

/// <param name="Name">Of the contact.</param>
/// <param name="Watts">Into it; negative where it heats the board.</param>
/// <param name="MeanCelsius">Of the board's face under it; null where earlier contacts cover all of it.</param>
/// <param name="AreaMm2">On the board, without what earlier contacts cover.</param>
internal sealed record ContactAnswer(string Name, double Watts, double? MeanCelsius, double AreaMm2);

/// <param name="PitchMm">Asked for, or chosen.</param>
/// <param name="Unknowns">Cells of the board, and nodes.</param>
/// <param name="Iterations">Of the solver.</param>
/// <param name="RelativeResidual">True residual over the heat.</param>
/// <param name="GridErrorKelvin">Bound for the worst reported temperature: peak, probes, parts that make heat or have a limit with the terminals that heat goes through.</param>
/// <param name="TargetErrorMet">Null where a pitch was asked for.</param>
/// <param name="FilmResiduals">Share of the heat that films of air missed after each pass of the outer iteration; empty where every film is given.</param>
internal sealed record AccuracyAnswer(
    double PitchMm, int Unknowns, int Iterations, double RelativeResidual, double GridErrorKelvin, bool? TargetErrorMet, IReadOnlyList<double> FilmResiduals);

internal sealed record SecondsAnswer(double Raster, double Assemble, double Solve, double GridError, double Findings, double Total);

/// <summary>A solution that is not solved, or not yet.</summary>
/// <param name="Id">Of the solution.</param>
/// <param name="Layout">Id of the layout; null for a moment after a restart.</param>
/// <param name="State">Where it stands.</param>
/// <param name="Progress">While it runs.</param>
/// <param name="Problem">Where it failed.</param>
internal sealed record SolutionProgress(string Id, string? Layout, SolutionState State, StepProgress? Progress, Problems.ProblemBody? Problem);

/// <param name="Step">Name of the step.</param>
/// <param name="Percent">Of the whole.</param>
/// <param name="RelativeResidual">Of the solver, while it runs.</param>
internal sealed record StepProgress(string Step, double Percent, double? RelativeResidual);

/// <summary>What the list shows of a solution, and what is kept beside it.</summary>
internal sealed record SolutionLabels(string Layout, string Name, string Revision, bool Pass, double PeakCelsius, IReadOnlyList<string> Layers, DateTimeOffset Created)
{
    /// <summary>A file beside tells what was guessed when the layout was imported. Entries of earlier builds have none.</summary>
    public bool HasImportWarnings { get; init; }
}

internal sealed record SolutionList(IReadOnlyList<SolutionListItem> Solutions);

/// <param name="Id">Of the solution.</param>
/// <param name="Layout">Id of the layout.</param>
/// <param name="Name">Of the layout.</param>
/// <param name="Revision">Of the layout.</param>
/// <param name="State">Where it stands.</param>
/// <param name="Pass">The verdict; null before it is solved.</param>
/// <param name="PeakCelsius">Null before it is solved.</param>
/// <param name="Images">Addresses of the layers' maps, top to bottom.</param>
/// <param name="Created">When it was solved.</param>
internal sealed record SolutionListItem(string Id, string Layout, string Name, string Revision, SolutionState State, bool? Pass, double? PeakCelsius, IReadOnlyList<string> Images, DateTimeOffset? Created);
