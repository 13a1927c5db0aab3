using HeatSpread.Boards;
using HeatSpread.Import.Assembly;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Files;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import;

/// <param name="Name">File name; folders before it are left aside.</param>
/// <param name="Content">The file's bytes.</param>
public sealed record FabricationFile(string Name, ReadOnlyMemory<byte> Content);

/// <summary>Round holes of one kind.</summary>
/// <param name="DrillMm">Diameter, mm.</param>
/// <param name="Count">At least 1.</param>
/// <param name="Plated">On the wall.</param>
public sealed record HoleCount(double DrillMm, int Count, bool Plated);

/// <param name="Layout">Null exactly when there are faults. Unit mm.</param>
/// <param name="Faults">Pointers are into the description (<c>/files/2</c>…), or name a posted file as <c>/files/NAME</c> with line and column in the sentence.</param>
/// <param name="Warnings">What was guessed, skipped or repaired.</param>
public sealed record ImportResult(LayoutDocument? Layout, IReadOnlyList<Fault> Faults, IReadOnlyList<string> Warnings)
{
    /// <summary>Round holes as drilled, slots left out (in the layout a plated slot is a row of vias); empty when there are faults.</summary>
    public IReadOnlyList<HoleCount> Holes { get; init; } = [];
}

/// <summary>From fabrication files and their description to a layout in mm, x to the right, y up, every layer seen from the top.</summary>
public static class FabricationImport
{
    /// <inheritdoc cref="Import(FabricationDescription, IReadOnlyList{FabricationFile}, ImportLimits, CancellationToken)"/>
    public static ImportResult Import(FabricationDescription description, IReadOnlyList<FabricationFile> files, CancellationToken cancellationToken) =>
        Import(description, files, new ImportLimits(), cancellationToken);

    /// <summary>Reads Gerber and drill files. Whatever is wrong with them or with the description is in the result's faults.</summary>
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
        var images = ReadImages(files);
        if (notes.Faults.Count > 0) return Refused();
        var copperFiles = images.Where(i => i.File.Kind == FileKind.Copper).ToList();
        var stack = StackRows.For(description, copperFiles.Count, notes);
        var names = StackRows.CopperNames(stack);
        var ordered = CopperLayers.Order(copperFiles, names, description.Stack is not null, description, notes);
        var outline = FindOutline(images, copperFiles);
        if (ordered is null || outline is null) return Refused();
        var copper = new BoardCopper([.. ordered.Select((o, i) => CopperLayers.Paint(names[i], o.File, o.Image, outline, notes))]);
        WarnOfCopperBesideTheBoard(copper, outline.Bounds);
        var holes = ReadHoles(files, names, outline);
        if (notes.Faults.Count > 0) return Refused();
        return Assemble(stack, names, outline, copper, holes);
    }

    private ImportResult Refused() => new(null, notes.Faults, notes.Warnings);

    private ImportResult Assemble(IReadOnlyList<StackRowDocument> stack, IReadOnlyList<string> names, Region outline, BoardCopper copper, IReadOnlyList<BoardHole> holes)
    {
        var nets = NetTracing.Trace(copper, holes, PartBinding.Marks(description.Parts, names.Count), cancellationToken);
        ReportNets(nets, copper);
        var parts = PartBinding.Bind(description.Parts, copper, nets, outline, notes);
        var painted = CopperDocuments.Make(copper, nets, notes, cancellationToken);
        var vias = BoardDrilling.Vias(holes, nets.NetOfHole, names, notes);
        if (notes.Faults.Count > 0) return Refused();
        var layout = new LayoutDocument
        {
            Name = description.Name,
            Revision = description.Revision,
            Unit = "mm",
            Outline = outline,
            Materials = description.Materials,
            Stack = stack,
            Nets = AllNets(painted, vias, parts),
            Copper = painted,
            Vias = vias,
            Parts = parts,
            Probes = description.Probes,
        };
        return new ImportResult(layout, [], notes.Warnings) { Holes = BoardDrilling.Count(holes) };
    }

    private List<(RecognizedFile File, GerberImage Image)> ReadImages(IReadOnlyList<RecognizedFile> files)
    {
        var images = new List<(RecognizedFile, GerberImage)>();
        foreach (var file in files.Where(f => f.Kind is FileKind.Copper or FileKind.Profile))
        {
            if (file.Syntax != FileSyntax.Gerber) notes.FileFault(file.Name, "line 1, column 1: a copper or profile file must be a Gerber file, and this is drill data");
            else ReadOne(file.Name, fileNotes => images.Add((file, GerberReader.Read(file.Text, fileNotes, limits, cancellationToken))));
        }
        return images;
    }

    /// <summary>Where a file that cannot be read becomes a fault.</summary>
    private void ReadOne(string name, Action<FileNotes> read)
    {
        var fileNotes = new FileNotes(name);
        try
        {
            read(fileNotes);
        }
        catch (UnreadableFileException unreadable)
        {
            notes.FileFault(name, unreadable.Message);
        }
        fileNotes.WriteTo(notes);
    }

    private Region? FindOutline(List<(RecognizedFile File, GerberImage Image)> images, List<(RecognizedFile File, GerberImage Image)> copper)
    {
        if (description.Outline is { } given) return given;
        var profiles = images.Where(i => i.File.Kind == FileKind.Profile).ToList();
        if (profiles.Count == 0)
        {
            notes.Fault("/outline", "there must be an outline, in the description or in a profile file (a file function Profile, a name like 'Edge.Cuts' or '.gm1', or \"profile\": true in the description's 'files'); none was found");
            return null;
        }
        string names = string.Join(", ", profiles.Select(p => p.File.Name));
        if (profiles.Count > 1) notes.Warn($"{names}: taken together as one profile, a ring inside another as an opening");
        var extent = copper.SelectMany(c => c.Image.Objects).Where(o => o.IsDark).Aggregate(Box.Empty, (box, o) => box.Include(SpanCutter.Bounds(o.Shape)));
        return ProfileRings.Trace(names, profiles.SelectMany(p => p.Image.Objects), extent, limits, notes);
    }

    /// <summary>Most often another origin or unit than the outline's; the layer would count as bare without a word.</summary>
    private void WarnOfCopperBesideTheBoard(BoardCopper copper, Box board)
    {
        foreach (var layer in copper.Layers)
        {
            var dark = layer.Elements.Where(e => e.IsDark).Aggregate(Box.Empty, (box, e) => box.Include(SpanCutter.Bounds(e.Shape)));
            if (dark.MinX <= dark.MaxX && !dark.Overlaps(board)) notes.Warn($"{layer.File}: all copper of {layer.Name} lies outside the outline; the two may differ in origin or unit");
        }
    }

    private List<BoardHole> ReadHoles(IReadOnlyList<RecognizedFile> files, IReadOnlyList<string> names, Region outline)
    {
        var holes = new List<BoardHole>();
        foreach (var file in files.Where(f => f.Kind == FileKind.Drill))
        {
            ReadOne(file.Name, _ => holes.AddRange(BoardDrilling.Read(file, names, outline.Bounds.Grow(2), description, limits, notes, cancellationToken)));
        }
        int all = holes.Count;
        holes.RemoveAll(h => h.Path.Any(p => !Places.IsInside(outline, p)));
        if (holes.Count < all) notes.Warn($"{all - holes.Count} holes or slots off the board (outside the outline) were left out");
        if (!files.Any(f => f.Kind == FileKind.Drill)) notes.Warn("there is no drill file: the layout has no vias");
        return holes;
    }

    private void ReportNets(NetTracing nets, BoardCopper copper)
    {
        if (!copper.HasNetAttributes) notes.Warn("the copper files name no nets; nets were found by connection through copper and plated holes and are called NET1, NET2… by decreasing area");
        foreach (var tie in nets.Ties.Take(50)) notes.Warn($"the nets {string.Join(", ", tie.Take(20))} are joined by copper");
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
