namespace HeatSpread.Boards;

/// <summary>
/// What every single value of a document must hold, whatever stands elsewhere in it: ranges of numbers and words out of a fixed few.
/// NaN stands for a number that could not be read and is passed over.
/// </summary>
internal static class ValueRules
{
    /// <summary>A link of less resistance would be a short that single precision no longer resolves beside the board.</summary>
    private const double LeastKelvinPerWatt = 1e-3;

    /// <summary>W/(m·K): hundreds of times that of diamond. Beyond it a row conducts so much more than the rest that the solver's single precision no longer sees the rest.</summary>
    private const double MostConductivity = 1e6;

    /// <summary>A conductivity that changes faster than this would be a mistaken unit.</summary>
    private const double MostPerKelvin = 0.05;

    /// <summary>J/(m³·K). Solids and liquids lie between 1e5 (foam) and 4.2e6 (water).</summary>
    private const double LeastHeatCapacity = 1e3, MostHeatCapacity = 1e8;

    private const double AbsoluteZeroCelsius = -273.15;

    private static readonly string[] Units = ["mm", "inch"];
    private static readonly string[] RowKinds = ["mask", "copper", "dielectric"];
    private static readonly string[] Fills = ["none", "resin", "copper"];
    private static readonly string[] Sides = ["top", "bottom"];
    private static readonly string[] PadSides = ["top", "bottom", "both"];

    public static void Check(LayoutDocument layout, JsonPointer at, FaultCollector faults)
    {
        RequireWord(layout.Unit, Units, at["unit"], faults);
        CheckMaterials(layout.Materials, at["materials"], faults);
        CheckEach(layout.Stack, at["stack"], faults, CheckStackRow);
        CheckEach(layout.Copper, at["copper"], faults, CheckCopper);
        CheckEach(layout.Vias, at["vias"], faults, CheckVia);
        CheckEach(layout.Parts, at["parts"], faults, CheckPart);
    }

    public static void Check(FabricationDescription description, JsonPointer at, FaultCollector faults)
    {
        RequireWord(description.Unit, Units, at["unit"], faults);
        CheckMaterials(description.Materials, at["materials"], faults);
        CheckEach(description.Stack ?? [], at["stack"], faults, CheckStackRow);
        CheckEach(description.Parts, at["parts"], faults, CheckPart);
    }

    public static void RequirePositive(double? value, JsonPointer at, FaultCollector faults)
    {
        if (value <= 0) faults.Add(at, $"Must be greater than 0; found {Phrase.Number(value.Value)}.");
    }

    private static void RequireConductivity(double? value, JsonPointer at, FaultCollector faults)
    {
        if (value > MostConductivity) faults.Add(at, $"Must be at most {Phrase.Number(MostConductivity)} W/(m·K), far above any material's; found {Phrase.Number(value.Value)}.");
        else RequirePositive(value, at, faults);
    }

    public static void RequireNotNegative(double value, JsonPointer at, FaultCollector faults)
    {
        if (value < 0) faults.Add(at, $"Must be at least 0; found {Phrase.Number(value)}.");
    }

    public static void RequireTemperature(double? celsius, JsonPointer at, FaultCollector faults)
    {
        if (celsius <= AbsoluteZeroCelsius) faults.Add(at, $"Must be above absolute zero, -273.15 °C; found {Phrase.Number(celsius.Value)}.");
    }

    public static void RequireWord(string word, string[] allowed, JsonPointer at, FaultCollector faults)
    {
        if (Array.IndexOf(allowed, word) < 0)
            faults.Add(at, $"Must be one of {Phrase.List(allowed)}; found {Phrase.Quoted(word)}.{Phrase.Suggestion(word, allowed)}");
    }

    private static void CheckEach<T>(IReadOnlyList<T> items, JsonPointer at, FaultCollector faults, Action<T, JsonPointer, FaultCollector> check)
    {
        for (int i = 0; i < items.Count; i++) check(items[i], at[i], faults);
    }

    private static void CheckMaterials(IReadOnlyDictionary<string, MaterialDocument> materials, JsonPointer at, FaultCollector faults)
    {
        foreach (var (name, material) in materials) CheckMaterial(material, at[name], faults);
    }

    private static void CheckMaterial(MaterialDocument material, JsonPointer at, FaultCollector faults)
    {
        CheckConductivity(material.Conductivity, at, faults);
        RequireConductivity(material.Resin, at["resinConductivity"], faults);
        RequireConductivity(material.Glass, at["glassConductivity"], faults);
        RequireTemperature(material.AtCelsius, at["atCelsius"], faults);
        if (material.JoulesPerCubicMeterKelvin is { } capacity and (< LeastHeatCapacity or > MostHeatCapacity))
            faults.Add(at["joulesPerM3K"], $"Must lie between {Phrase.Number(LeastHeatCapacity)} and {Phrase.Number(MostHeatCapacity)} J/(m³·K), water being 4.2e6; found {Phrase.Number(capacity)}.");
        if (material.GlassShare is < 0 or > 1) faults.Add(at["glassShare"], $"Must lie between 0 and 1; found {Phrase.Number(material.GlassShare.Value)}.");
        if (Math.Abs(material.PerKelvin ?? 0) > MostPerKelvin) faults.Add(at["perKelvin"], $"Must lie within ±{Phrase.Number(MostPerKelvin)} per kelvin; found {Phrase.Number(material.PerKelvin!.Value)}.");
        for (int i = 0; i < material.Table.Count; i++)
        {
            var point = at["table"][i];
            RequireTemperature(material.Table[i].Celsius, point["celsius"], faults);
            CheckConductivity(material.Table[i].Conductivity, point, faults);
            if (i > 0 && material.Table[i].Celsius <= material.Table[i - 1].Celsius)
                faults.Add(point["celsius"], $"Temperatures must ascend; found {Phrase.Number(material.Table[i].Celsius)} after {Phrase.Number(material.Table[i - 1].Celsius)}.");
        }
    }

    private static void CheckConductivity(Conductivity? conductivity, JsonPointer at, FaultCollector faults)
    {
        RequireConductivity(conductivity?.InPlane, at["inPlane"], faults);
        RequireConductivity(conductivity?.Through, at["through"], faults);
    }

    private static void CheckStackRow(StackRowDocument row, JsonPointer at, FaultCollector faults)
    {
        RequireWord(row.Kind, RowKinds, at["kind"], faults);
        RequirePositive(row.ThicknessUm, at["thicknessUm"], faults);
        RequireConductivity(row.CopperConductivity, at["conductivity"], faults);
        CheckConductivity(row.Conductivity, at["conductivity"], faults);
    }

    private static void CheckCopper(CopperDocument copper, JsonPointer at, FaultCollector faults)
    {
        RequireNotNegative(copper.Clearance, at["clearance"], faults);
        if (copper.Track is not { } track) return;
        RequirePositive(track.Width, at["track"]["width"], faults);
        if (track.Path.Count == 0) faults.Add(at["track"]["path"], "Must hold at least one position; it is empty.");
    }

    private static void CheckVia(ViaDocument via, JsonPointer at, FaultCollector faults)
    {
        RequirePositive(via.Drill, at["drill"], faults);
        RequireNotNegative(via.PlatingUm, at["platingUm"], faults);
        RequireConductivity(via.PlatingConductivity, at["platingConductivity"], faults);
        RequireConductivity(via.FillConductivity, at["fill"]["conductivity"], faults);
        if (via.Fill is { } fill) RequireWord(fill, Fills, at["fill"], faults);
        RequireNotNegative(via.Pad, at["pad"], faults);
        RequireNotNegative(via.Clearance, at["clearance"], faults);
        if (via.At is { Count: 0 }) faults.Add(at["at"], "Must hold at least one position; it is empty.");
        if (via.Array is not { } array) return;
        RequirePitch(array.Columns, array.PitchX, at["array"]["pitch"][0], faults);
        RequirePitch(array.Rows, array.PitchY, at["array"]["pitch"][1], faults);
    }

    private static void RequirePitch(int count, double pitch, JsonPointer at, FaultCollector faults)
    {
        if (count > 1) RequirePositive(pitch, at, faults);
        else RequireNotNegative(pitch, at, faults);
    }

    private static void CheckPart(PartDocument part, JsonPointer at, FaultCollector faults)
    {
        RequireWord(part.Side, Sides, at["side"], faults);
        for (int i = 0; i < part.Terminals.Count; i++)
            if (part.Terminals[i].Side is { } side) RequireWord(side, PadSides, at["terminals"][i]["side"], faults);
        RequireNotNegative(part.Watts, at["watts"], faults);
        RequireTemperature(part.LimitCelsius, at["limitCelsius"], faults);
        if (part.Network is not { } network) return;
        for (int i = 0; i < network.Links.Count; i++)
            RequireLink(network.Links[i].KelvinPerWatt, at["network"]["links"][i]["kelvinPerWatt"], faults);
        foreach (var (node, share) in network.HeatAt) RequireNotNegative(share, at["network"]["heatAt"][node], faults);
    }

    private static void RequireLink(double kelvinPerWatt, JsonPointer at, FaultCollector faults)
    {
        if (kelvinPerWatt is > 0 and < LeastKelvinPerWatt)
            faults.Add(at, $"Must be at least {Phrase.Number(LeastKelvinPerWatt)} K/W, far below any part's; found {Phrase.Number(kelvinPerWatt)}.");
        else RequirePositive(kelvinPerWatt, at, faults);
    }
}
