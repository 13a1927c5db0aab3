using System.Text.RegularExpressions;
using System.Xml;

namespace HeatSpread.Import.Ipc2581;

/// <summary>The first pass: dictionaries, layers, stack, padstacks, packages, components and nets.</summary>
internal sealed partial class Ipc2581Reader
{
    private readonly Dictionary<string, MaterialSpec> specs = new(StringComparer.Ordinal);
    private readonly HashSet<string> unpopulated = new(StringComparer.Ordinal);
    private readonly HashSet<string> painted = new(StringComparer.Ordinal);
    private readonly List<(string Name, List<StackEntry> Rows)> stackGroups = [];
    private string revision = "";
    private double dictionaryUnit = 1;
    private double? overallThickness;

    private bool? Define(XmlReader xml, List<string> open)
    {
        switch (xml.LocalName)
        {
            case "IPC-2581":
                revision = xml.GetAttribute("revision") ?? "";
                if (revision is not ("B" or "C" or "B1" or "A")) notes.Warn(0, $"is of revision '{revision}'; it was read as revision C");
                return false;
            case "LogisticHeader" or "HistoryRecord" or "Avl": return null;
            case "StepRef" when open.Contains("Content"): wantedStep ??= xml.GetAttribute("name"); return false;
            case "DictionaryStandard" or "DictionaryUser" or "DictionaryLineDesc" or "DictionaryFillDesc": dictionaryUnit = ReadUnit(xml); return false;
            case "DictionaryColor" or "DictionaryFont" or "DictionaryFirmware": return null;
            case "EntryStandard" or "EntryUser" or "EntryLineDesc" or "EntryFillDesc": AddEntry(ReadWhole(xml)); return true;
            case "CadHeader": unit = ReadUnit(xml); return false;
            case "Spec": AddSpec(ReadWhole(xml)); return true;
            case "Layer": AddLayer(ReadWhole(xml)); return true;
            case "Stackup" when stackGroups.Count == 0: AddStackup(ReadWhole(xml)); return true;
            case "Stackup":
                notes.Warn(XmlPart.Place(xml).Line, "has more than one stack-up (a board of zones); the first one was taken");
                return null;
            case "BomItem": AddBomItem(ReadWhole(xml)); return true;
            case "Step":
                step = new IpcStep(xml.GetAttribute("name") ?? "");
                steps[step.Name] = step;
                return false;
            case "LayerFeature":
                if (step is not null && layers.GetValueOrDefault(xml.GetAttribute("layerRef") ?? "")?.IsCopper != false) painted.Add(step.Name);
                return null;
            default: return step is null ? false : DefineInStep(xml, step);
        }
    }

    private bool? DefineInStep(XmlReader xml, IpcStep current)
    {
        switch (xml.LocalName)
        {
            case "Profile": AddProfile(ReadWhole(xml), current); return true;
            case "PadStackDef": AddPadstack(ReadWhole(xml), current); return true;
            case "PadStack": current.PlacedPadstacks.Add(ReadWhole(xml)); return true;
            case "Package": AddPackage(ReadWhole(xml), current); return true;
            case "Component": AddComponent(ReadWhole(xml), current); return true;
            case "LogicalNet":
                var net = ReadWhole(xml);
                foreach (var pin in net.Named("PinRef")) current.NetOfPin[(pin.Text("componentRef") ?? "", pin.Text("pin") ?? "")] = net.Text("name") ?? "";
                return true;
            case "PhyNet":
                var physical = ReadWhole(xml);
                foreach (var point in physical.Named("PhyNetPoint")) current.NetPoints.Add((physical.Text("name") ?? "", point.Text("layerRef") ?? "", point.Place(unit)));
                return true;
            case "StepRepeat":
                var repeat = ReadWhole(xml);
                current.Repeats.Add(new StepRepeat(repeat.Text("stepRef") ?? "", (int)Math.Clamp(repeat.Number("nx") ?? 1, 1, 1e6), (int)Math.Clamp(repeat.Number("ny") ?? 1, 1, 1e6)));
                return true;
            case "DfxMeasurementList" or "Dfx" or "NonstandardAttribute" or "Datum" or "Route": return null;
            default: return false;
        }
    }

    private double ReadUnit(XmlReader xml)
    {
        string? name = xml.GetAttribute("units");
        if (Units.Millimeters(name) is { } known) return known;
        var (line, _) = XmlPart.Place(xml);
        notes.Warn(line, $"<{xml.LocalName}> has the unit '{name}', which is none of MILLIMETER, INCH and MICRON; mm was taken");
        return 1;
    }

    private void AddEntry(XmlPart entry)
    {
        string id = entry.Text("id") ?? throw entry.Unreadable("must have the attribute 'id'");
        if (entry.Name == "EntryStandard") dictionaries.AddStandard(id, entry, dictionaryUnit);
        else if (entry.Name == "EntryUser") dictionaries.AddUser(id, entry, dictionaryUnit);
        else if (entry.Child("LineDesc") is { } line) dictionaries.Lines[id] = Dictionaries.Style(line, dictionaryUnit);
        else if (entry.Child("FillDesc")?.Text("fillProperty") is { } fill) dictionaries.Fills[id] = fill;
    }

    private void AddSpec(XmlPart spec)
    {
        var texts = new List<string>();
        double? electrical = null, thermal = null;
        foreach (var section in spec.Children)
        {
            foreach (var property in section.Named("Property"))
            {
                string words = $"{section.Text("type")} {section.Text("comment")} {property.Text("comment")} {property.Text("text")}", measure = property.Text("unit") ?? "";
                if (property.Text("text") is { Length: > 0 } text && section.Name == "General") texts.Add(text);
                if (property.Number("value") is not { } value) continue;
                if (ThermalUnit().IsMatch(measure) || words.Contains("thermal conductivity", StringComparison.OrdinalIgnoreCase) || words.Contains("THERMAL_CONDUCTIVITY", StringComparison.OrdinalIgnoreCase)) thermal = value;
                else if (section is { Name: "Conductor" } && section.Text("type") == "CONDUCTIVITY") electrical = measure.EndsWith("/CM", StringComparison.OrdinalIgnoreCase) ? value * 100 : value;
            }
        }
        specs[spec.Text("name") ?? ""] = new MaterialSpec(string.Join("; ", texts), electrical is > 0 ? electrical : null, thermal is > 0 ? thermal : null);
    }

    private void AddLayer(XmlPart layer)
    {
        string name = layer.Text("name") ?? throw layer.Unreadable("must have the attribute 'name'");
        var span = layer.Child("Span");
        layers[name] = new LayerInfo(name, layer.Text("layerFunction") ?? "", layer.Text("side") ?? "", layer.Text("polarity") == "NEGATIVE", span?.Text("fromLayer"), span?.Text("toLayer"));
    }

    private void AddStackup(XmlPart stackup)
    {
        overallThickness = stackup.LengthOr("overallThickness", unit, 0) is > 0 and var thickness ? thickness : null;
        AddGroup(stackup, "");
        foreach (var group in stackup.Named("StackupGroup")) AddGroup(group, group.Text("name") ?? "");
    }

    private void AddGroup(XmlPart group, string name)
    {
        var rows = new List<StackEntry>();
        foreach (var row in group.Named("StackupLayer"))
        {
            double thickness = Math.Max(0, row.LengthOr("thickness", unit, 0));
            rows.Add(new StackEntry(row.Text("layerOrGroupRef") ?? "", thickness, row.Number("sequence") ?? rows.Count, [.. row.Named("SpecRef").Select(s => s.Text("id") ?? "")]));
        }
        if (rows.Count > 0) stackGroups.Add((name, [.. rows.OrderBy(r => r.Sequence)]));
        if (name.Length == 0) return;
        foreach (var inner in group.Named("StackupGroup")) AddGroup(inner, inner.Text("name") ?? "");
    }

    /// <summary>Rows of the outermost groups, with the groups that they name put in their place.</summary>
    private List<StackEntry> FlatStack()
    {
        var flat = new List<StackEntry>();
        var byName = stackGroups.Where(g => g.Name.Length > 0).GroupBy(g => g.Name).ToDictionary(g => g.Key, g => g.First().Rows, StringComparer.Ordinal);
        var inner = stackGroups.SelectMany(g => g.Rows).Select(r => r.Layer).Where(byName.ContainsKey).ToHashSet(StringComparer.Ordinal);
        foreach (var (name, rows) in stackGroups)
        {
            if (!inner.Contains(name)) Add(rows, 0);
        }
        return flat;

        void Add(List<StackEntry> rows, int depth)
        {
            foreach (var row in rows)
            {
                if (!layers.ContainsKey(row.Layer) && byName.TryGetValue(row.Layer, out var group) && depth < 10) Add(group, depth + 1);
                else flat.Add(row);
            }
        }
    }

    private void AddBomItem(XmlPart item)
    {
        foreach (var part in item.Named("RefDes"))
        {
            if (part.Text("populate") is "false" or "FALSE" or "0" && part.Text("name") is { } name) unpopulated.Add(name);
        }
    }

    private void AddProfile(XmlPart profile, IpcStep current)
    {
        foreach (var ring in profile.Children)
        {
            if (ring.Name == "Polygon") current.ProfileOuter.Add(PolySteps.Path(ring, unit));
            else if (ring.Name == "Cutout") current.ProfileCutouts.Add(PolySteps.Path(ring, unit));
        }
    }

    private static void AddPadstack(XmlPart padstack, IpcStep current)
    {
        var pads = new Dictionary<string, XmlPart>(StringComparer.Ordinal);
        foreach (var pad in padstack.Named("PadstackPadDef"))
        {
            if (pad.Text("padUse") is null or "REGULAR" && pad.Text("layerRef") is { } layer) pads.TryAdd(layer, pad);
        }
        current.Padstacks[padstack.Text("name") ?? ""] = pads;
    }

    private void AddPackage(XmlPart package, IpcStep current)
    {
        var outline = package.Child("Outline") ?? package.Child("AssemblyDrawing")?.Child("Outline");
        var body = outline?.Child("Polygon") is { Steps.Count: > 2 } polygon ? PolySteps.Path(polygon, unit) : [];
        var pins = package.Named("Pin").Where(p => p.Child("Location") is not null).Select(p => (p.Text("number") ?? p.Text("name") ?? "", p.Child("Location")!.Place(unit)));
        current.Packages[package.Text("name") ?? ""] = new IpcPackage(body, [.. pins]);
    }

    private void AddComponent(XmlPart component, IpcStep current)
    {
        string id = component.Text("refDes") ?? component.Child("RefDes")?.Text("name") ?? throw component.Unreadable("must have the attribute 'refDes'");
        current.Components.Add(new IpcComponent(id, component.Text("packageRef") ?? "", component.Text("layerRef") ?? "", component.Child("Location")?.Place(unit) ?? default, component.Child("Xform")));
    }

    [GeneratedRegex(@"^\s*W(ATTS?)?\s*/?\s*\(?\s*(M|METER)", RegexOptions.IgnoreCase | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex ThermalUnit();
}
