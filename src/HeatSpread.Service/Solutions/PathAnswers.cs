using System.Text.Json.Serialization;

namespace HeatSpread.Service.Solutions;

/// <summary>
/// A share of a part's heat, from the flows about the cells that its pads touch (those under its body too, where heat enters there). <c>net</c> with <c>layer</c>: by the outer copper,
/// across the edge of these cells. <c>through</c>: <c>vias</c> (with their <c>net</c>), barrels in these cells; <c>laminate</c>, inward beside the barrels or sideways
/// past the copper; <c>face</c>, outward from these cells; <c>ambient</c>, links of the part's network; <c>shared</c>, less what other parts or currents put into the same cells.
/// </summary>
/// <param name="Net">Left out where it does not apply or there is none.</param>
/// <param name="Layer">Of outer copper.</param>
/// <param name="Through">Of everything else.</param>
/// <param name="Watts">Negative where heat comes in.</param>
internal sealed record PathAnswer(
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] string? Net,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] string? Layer,
    [property: JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)] string? Through,
    double Watts);

/// <param name="Net">Null for vias of no net.</param>
/// <param name="Entry">Index in the layout's <c>vias</c>.</param>
/// <param name="Count">Holes.</param>
/// <param name="Watts">Through all of them at the level of the stack where they carry most, positive downward.</param>
/// <param name="WattsPerVia">Their mean.</param>
/// <param name="Between">The two copper layers that hold that level between them; empty for vias that join nothing.</param>
internal sealed record ViaAnswer(string? Net, int Entry, int Count, double Watts, double WattsPerVia, IReadOnlyList<string> Between);

/// <param name="Net">Null for vias of no net.</param>
/// <param name="Count">Holes.</param>
/// <param name="Watts">Through all of them at the level of the stack where they carry most together, positive downward.</param>
internal sealed record NetViaAnswer(string? Net, int Count, double Watts);
