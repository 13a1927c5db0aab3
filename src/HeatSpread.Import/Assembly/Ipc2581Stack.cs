using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Ipc2581;

namespace HeatSpread.Import.Assembly;

/// <summary>Stack rows from the layers, the stack-up and the material specifications of an IPC-2581 document.</summary>
internal static class Ipc2581Stack
{
    /// <summary>Electrical conductivity of annealed copper at 20 °C, S/m (IEC 60028).</summary>
    private const double AnnealedCopper = 5.8001e7;

    private const double UsualCopperConductivity = 390;
    private const double UsualCopperUm = 35;
    private const double UsualDielectricUm = 200;

    /// <summary>Names of the copper layers from the top: in the order of the stack-up, else by their sides.</summary>
    public static IReadOnlyList<string> CopperOrder(Ipc2581Document document)
    {
        var copper = document.Layers.Where(l => l.IsCopper).ToList();
        var stacked = document.Stack.Select(r => r.Layer).Where(name => copper.Exists(l => l.Name == name)).Distinct().ToList();
        var missing = copper.Where(l => !stacked.Contains(l.Name)).ToList();
        if (stacked.Count == 0) return [.. missing.OrderBy(SideOrder).Select(l => l.Name)];
        var used = missing.Where(l => document.Step.Objects.GetValueOrDefault(l.Name) is { Count: > 0 }).ToList(); // declared only: no layer of this board
        return [.. used.Where(l => l.Side == "TOP").Select(l => l.Name), .. stacked, .. used.Where(l => l.Side != "TOP").Select(l => l.Name)];
    }

    public static IReadOnlyList<StackRowDocument> Rows(Ipc2581Document document, IReadOnlyList<string> copper, string file, ImportNotes notes)
    {
        if (document.Stack.Count == 0)
        {
            var usual = StackRows.For(new FabricationDescription(), copper.Count, notes);
            int next = 0;
            return [.. usual.Select(r => r.Kind == "copper" ? r with { Name = copper[next++] } : r)];
        }
        var rows = new List<StackRowDocument>();
        foreach (var entry in document.Stack)
        {
            var layer = document.Layers.FirstOrDefault(l => l.Name == entry.Layer);
            if (layer is null)
            {
                if (entry.ThicknessMm > 0) notes.Warn($"{file}: the stack-up has a row '{entry.Layer}' that is no layer; it was left out");
            }
            else if (copper.Contains(layer.Name)) rows.Add(Copper(entry, document, file, notes));
            else if (layer.IsMask && entry.ThicknessMm > 0) rows.Add(Sheet("mask", entry, document, "solder-mask", file, notes));
            else if (layer.IsDielectric && (entry.ThicknessMm > 0 || IsBetweenCopper(document, copper, entry))) rows.Add(Sheet("dielectric", entry, document, null, file, notes));
        }
        foreach (string unstacked in copper.Where(name => !rows.Exists(r => r.Name == name)))
        {
            notes.Warn($"{file}: copper layer {unstacked} is not in the stack-up; it was put at its side with {UsualCopperUm} µm");
            var row = new StackRowDocument { Kind = "copper", Name = unstacked, ThicknessUm = UsualCopperUm };
            if (copper.ToList().IndexOf(unstacked) == 0) rows.Insert(0, row);
            else rows.Add(row);
        }
        CheckThickness(document, rows, file, notes);
        return rows;
    }

    private static int SideOrder(LayerInfo layer) => layer.Side switch { "TOP" => 0, "BOTTOM" => 2, _ => 1 };

    private static bool IsBetweenCopper(Ipc2581Document document, IReadOnlyList<string> copper, StackEntry entry)
    {
        var names = document.Stack.Select(r => r.Layer).ToList();
        int at = names.IndexOf(entry.Layer);
        return names.Take(at).Any(copper.Contains) && names.Skip(at + 1).Any(copper.Contains);
    }

    private static double Micrometers(StackEntry entry, double usual, string file, ImportNotes notes)
    {
        if (entry.ThicknessMm > 0) return Math.Round(entry.ThicknessMm * 1000, 6);
        notes.Warn(string.Create(CultureInfo.InvariantCulture, $"{file}: the stack-up says no thickness of '{entry.Layer}'; {usual} µm were taken"));
        return usual;
    }

    private static StackRowDocument Copper(StackEntry entry, Ipc2581Document document, string file, ImportNotes notes)
    {
        var row = new StackRowDocument { Kind = "copper", Name = entry.Layer, ThicknessUm = Micrometers(entry, UsualCopperUm, file, notes) };
        var specs = Specs(entry, document).ToList();
        if (specs.Select(s => s.WattsPerMeterKelvin).FirstOrDefault(k => k is not null) is { } thermal) return row with { CopperConductivity = thermal };
        if (specs.Select(s => s.SiemensPerMeter).FirstOrDefault(s => s is not null) is not { } electrical || Math.Abs(electrical / AnnealedCopper - 1) < 0.1) return row;
        double scaled = Math.Round(UsualCopperConductivity * electrical / AnnealedCopper, 1);
        if (scaled is not (>= 1 and <= 2000))
        {
            notes.Warn(string.Create(CultureInfo.InvariantCulture, $"{file}: the electrical conductivity of '{entry.Layer}', {electrical:0.###e0} S/m, cannot be a metal's; {UsualCopperConductivity} W/(m·K) were taken"));
            return row;
        }
        notes.Warn(string.Create(CultureInfo.InvariantCulture, $"{file}: '{entry.Layer}' has {electrical:0.###e0} S/m; its thermal conductivity was taken in proportion to annealed copper's (Wiedemann and Franz), {scaled} W/(m·K)"));
        return row with { CopperConductivity = scaled };
    }

    private static StackRowDocument Sheet(string kind, StackEntry entry, Ipc2581Document document, string? usual, string file, ImportNotes notes)
    {
        var row = new StackRowDocument { Kind = kind, Name = entry.Layer, ThicknessUm = Micrometers(entry, UsualDielectricUm, file, notes) };
        var specs = Specs(entry, document).ToList();
        if (specs.Select(s => s.WattsPerMeterKelvin).FirstOrDefault(k => k is not null) is { } thermal) return row with { Conductivity = new Conductivity(thermal, thermal) };
        if (usual is not null) return row with { Material = usual };
        string words = string.Join(' ', specs.Select(s => s.Material));
        string material = Material(words);
        if (!words.Contains("FR", StringComparison.OrdinalIgnoreCase) && material == "fr4" && words.Trim().Length > 0 && !IsPlain(words)) notes.Warn($"{file}: the material '{words}' of '{entry.Layer}' is not known; fr4 was taken, and the description's 'stack' may say another");
        return row with { Material = material };
    }

    private static bool IsPlain(string words) => words.Contains("prepreg", StringComparison.OrdinalIgnoreCase) || words.Contains("core", StringComparison.OrdinalIgnoreCase);

    private static string Material(string words)
    {
        bool Has(string word) => words.Contains(word, StringComparison.OrdinalIgnoreCase);
        if (Has("polyimide") && (Has("film") || Has("flex"))) return "polyimide-film";
        if (Has("polyimide")) return "polyimide-glass";
        if (Has("PTFE")) return "ptfe-glass";
        if (Has("alumina")) return "alumina";
        if (Has("aluminium nitride") || Has("aluminum nitride")) return "aluminium-nitride";
        return "fr4";
    }

    private static IEnumerable<MaterialSpec> Specs(StackEntry entry, Ipc2581Document document)
    {
        foreach (string id in entry.Specs)
        {
            if (document.Specs.TryGetValue(id, out var spec)) yield return spec;
            else if (ByPrefix(document, id) is { } named) yield return named;
        }
    }

    /// <summary>Some writers refer to <c>SPEC_F.Cu</c> and name the specification <c>F.Cu_1</c>.</summary>
    private static MaterialSpec? ByPrefix(Ipc2581Document document, string id)
    {
        const string Prefix = "SPEC_";
        if (!id.StartsWith(Prefix, StringComparison.Ordinal)) return null;
        string name = id[Prefix.Length..];
        return document.Specs.FirstOrDefault(s => s.Key == name || s.Key.StartsWith(name + "_", StringComparison.Ordinal) && int.TryParse(s.Key.AsSpan(name.Length + 1), NumberStyles.None, CultureInfo.InvariantCulture, out _)).Value;
    }

    private static void CheckThickness(Ipc2581Document document, List<StackRowDocument> rows, string file, ImportNotes notes)
    {
        double sum = rows.Sum(r => r.ThicknessUm) / 1000;
        if (document.OverallThicknessMm is { } said && Math.Abs(said - sum) > 0.05 * said)
        {
            notes.Warn(string.Create(CultureInfo.InvariantCulture, $"{file}: the stack-up says {said:0.####} mm over all, and its rows add up to {sum:0.####} mm; the rows were taken"));
        }
    }
}
