using HeatSpread.Boards;
using HeatSpread.Import.Assembly;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Files;
using HeatSpread.Import.Parts;

namespace HeatSpread.Import;

/// <param name="Name">File name; folders before it are left aside.</param>
/// <param name="Content">The file's bytes.</param>
public sealed record FabricationFile(string Name, ReadOnlyMemory<byte> Content);

/// <summary>Round holes of one kind.</summary>
/// <param name="DrillMm">Diameter, mm.</param>
/// <param name="Count">At least 1.</param>
/// <param name="Plated">On the wall.</param>
public sealed record HoleCount(double DrillMm, int Count, bool Plated);

/// <summary>A component that the files know, whether it became a part or not.</summary>
/// <param name="Id">Reference designator.</param>
/// <param name="Side"><c>top</c> or <c>bottom</c>; null where unknown.</param>
/// <param name="AtMm">Place; null where unknown.</param>
/// <param name="RotationDegrees">Counter-clockwise; null where unknown.</param>
/// <param name="HeightMm">Null where unknown.</param>
/// <param name="Pins">How many the files name.</param>
public sealed record FoundComponent(string Id, string? Side, Point? AtMm, double? RotationDegrees, double? HeightMm, int Pins);

/// <param name="Layout">Null exactly when there are faults. Unit mm.</param>
/// <param name="Faults">Pointers are into the description (<c>/files/2</c>…), or name a posted file as <c>/files/NAME</c> with line and column in the sentence.</param>
/// <param name="Warnings">What was guessed, skipped or repaired.</param>
public sealed record ImportResult(LayoutDocument? Layout, IReadOnlyList<Fault> Faults, IReadOnlyList<string> Warnings)
{
    /// <summary>Round holes as drilled, slots left out (in the layout a plated slot is barrels along its wall); empty when there are faults.</summary>
    public IReadOnlyList<HoleCount> Holes { get; init; } = [];

    /// <summary>Components by their names; empty when there are faults.</summary>
    public IReadOnlyList<FoundComponent> Components { get; init; } = [];

    /// <summary>The file that each copper layer was read from, top to bottom; empty when there are faults.</summary>
    public IReadOnlyList<string> LayerFiles { get; init; } = [];
}

/// <summary>From fabrication files and their description to a layout in mm, x to the right, y up, every layer seen from the top.</summary>
public static class FabricationImport
{
    /// <inheritdoc cref="Import(FabricationDescription, IReadOnlyList{FabricationFile}, ImportLimits, CancellationToken)"/>
    public static ImportResult Import(FabricationDescription description, IReadOnlyList<FabricationFile> files, CancellationToken cancellationToken) =>
        Import(description, files, new ImportLimits(), cancellationToken);

    /// <summary>Reads Gerber and drill files, or an IPC-2581 document. Whatever is wrong with them or with the description is in the result's faults.</summary>
    /// <param name="description">As posted.</param>
    /// <param name="files">Files as posted; a ZIP among them is opened.</param>
    /// <param name="limits">On what is read and made.</param>
    /// <param name="cancellationToken">Checked between features.</param>
    public static ImportResult Import(FabricationDescription description, IReadOnlyList<FabricationFile> files, ImportLimits limits, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(description);
        ArgumentNullException.ThrowIfNull(files);
        ArgumentNullException.ThrowIfNull(limits);
        return new ImportRun(DescriptionUnits.InMillimeters(description), limits, cancellationToken).Run(files);
    }
}

/// <summary>The steps of one import; each needs what the ones before it found.</summary>
internal sealed class ImportRun(FabricationDescription description, ImportLimits limits, CancellationToken cancellationToken)
{
    private readonly ImportNotes notes = new();

    public ImportResult Run(IReadOnlyList<FabricationFile> posted)
    {
        var files = FileRecognition.Recognize(description, FileSet.Open(posted, limits, notes, cancellationToken), notes);
        var data = Attempt(() => files.Ipc2581 is { } document
            ? Ipc2581Board.Read(document, description, limits, notes, cancellationToken)
            : GerberBoard.Read(files, description, limits, notes, cancellationToken));
        if (data is null || notes.Faults.Count > 0) return Refused();
        data = AddTables(data, files);
        return Attempt(() => Assemble(data)) ?? Refused();
    }

    /// <summary>Does a step; where shapes cannot be put together, that becomes a fault and null.</summary>
    private T? Attempt<T>(Func<T?> step)
        where T : class
    {
        try
        {
            return step();
        }
        catch (NetTopologySuite.Geometries.TopologyException)
        {
            notes.Fault("/files", ImportNotes.Unresolved);
            return null;
        }
    }

    private ImportResult Refused() => new(null, notes.Faults, notes.Warnings);

    /// <summary>Placements and netlists, which stand beside the board's own files.</summary>
    private FabricationData AddTables(FabricationData data, RecognizedFiles files)
    {
        var components = data.Components.ToList();
        foreach (var file in files.Placements)
        {
            notes.ReadFile(file.Name, fileNotes => components.AddRange(PlacementFile.Read(file.Name, file.Text, data.Outline.Bounds, fileNotes)));
        }
        var points = data.NetPoints.ToList();
        foreach (var file in files.Netlists)
        {
            notes.ReadFile(file.Name, fileNotes => points.AddRange(Netlist.Read(file.Text, data.Names.Count, fileNotes)));
        }
        return data with { Components = components, NetPoints = points };
    }

    private ImportResult Assemble(FabricationData data)
    {
        IReadOnlyList<NetMark> marks = [.. PartBinding.Marks(description.Parts, data.Names.Count), .. data.NetPoints.Select(p => p with { IsFromFiles = true })];
        var nets = NetTracing.Trace(data.Copper, data.Holes, marks, limits.MaxOverlapSteps, cancellationToken);
        foreach (int layer in nets.TooEntangled) notes.FileFault(data.Copper.Layers[layer].File, "line 1, column 1: its shapes must not lie on each other by the thousand with thousands of clearing ones on top; the nets of such a layer cannot be traced in reasonable time");
        if (notes.Faults.Count > 0) return Refused();
        ReportNets(nets, data);
        var parts = PartBinding.Bind(description.Parts, data, nets, notes);
        var painted = CopperDocuments.Make(data.Copper, nets, notes, cancellationToken);
        var vias = BoardDrilling.Vias(data, nets.NetOfHole, notes);
        if (notes.Faults.Count > 0) return Refused();
        var layout = new LayoutDocument
        {
            Name = description.Name,
            Revision = description.Revision,
            Unit = "mm",
            Outline = data.Outline,
            Materials = description.Materials,
            Stack = data.Stack,
            Nets = AllNets(painted, vias, parts),
            Copper = painted,
            Vias = vias,
            Parts = parts,
            Probes = description.Probes,
        };
        return new ImportResult(layout, [], notes.Warnings)
        {
            Holes = BoardDrilling.Count(data.Holes),
            Components = FoundComponents(data),
            LayerFiles = [.. data.Copper.Layers.Select(l => l.File)],
        };
    }

    private static IReadOnlyList<FoundComponent> FoundComponents(FabricationData data)
    {
        var pads = new PinPads(data.Copper);
        var pins = pads.Parts.ToDictionary(p => p.Id, p => p.Pins, StringComparer.Ordinal);
        var placed = data.Components.GroupBy(c => c.Id, StringComparer.Ordinal).Select(g => g.First()).ToList();
        var found = placed.ConvertAll(c => new FoundComponent(c.Id, c.Side ?? pads.Side(c.Id), c.At, c.RotationDegrees, c.HeightMm, Math.Max(pins.GetValueOrDefault(c.Id), c.Pins.Count)));
        var known = placed.Select(c => c.Id).ToHashSet(StringComparer.Ordinal);
        found.AddRange(pins.Where(p => !known.Contains(p.Key)).Select(p => new FoundComponent(p.Key, pads.Side(p.Key), null, null, null, p.Value)));
        return [.. found.OrderBy(c => c.Id, StringComparer.Ordinal)];
    }

    private void ReportNets(NetTracing nets, FabricationData data)
    {
        if (!data.Copper.HasNetAttributes)
        {
            string names = data.NetPoints.Count > 0 ? "named by the netlist where it names them, else" : "and are";
            notes.Warn($"the copper files name no nets; nets were found by connection through copper and plated holes {names} called NET1, NET2… by decreasing area");
        }
        if (data.NetPoints.Count > 0 && nets.PointsOnCopper < 0.5 * data.NetPoints.Count) notes.Warn($"only {nets.PointsOnCopper} of the {data.NetPoints.Count} places of the netlist lie on copper; it may have another origin, unit or board");
        var apart = description.Nets.SelectMany(n => n.KeepApartFrom.Select(other => (n.Name, Other: other))).ToList();
        foreach (var tie in nets.Ties.Take(50))
        {
            string? kept = apart.Where(a => tie.Contains(a.Name) && tie.Contains(a.Other)).Select(a => $"'{a.Name}' must be kept apart from '{a.Other}' (keepApartFrom)").FirstOrDefault();
            notes.Warn($"the nets {string.Join(", ", tie.Take(20))} are joined by copper{(kept is null ? "" : $", and {kept}")}");
        }
        if (nets.LooseHoles > 0) notes.Warn($"{nets.LooseHoles} plated holes touch no copper on any layer that they join; they carry no net");
    }

    private List<NetDocument> AllNets(IReadOnlyList<CopperDocument> copper, IReadOnlyList<ViaDocument> vias, IReadOnlyList<PartDocument> parts)
    {
        var nets = description.Nets.ToList();
        var known = nets.Select(n => n.Name).ToHashSet(StringComparer.Ordinal);
        var used = copper.Select(c => c.Net).Concat(vias.Select(v => v.Net)).Concat(parts.SelectMany(p => p.Terminals).Select(t => t.Net)).OfType<string>();
        foreach (string name in used)
        {
            if (known.Add(name)) nets.Add(new NetDocument(name, [], false));
        }
        return nets;
    }
}
