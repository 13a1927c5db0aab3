using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Files;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Parts;

namespace HeatSpread.Import.Assembly;

/// <summary>The board from Gerber and drill files.</summary>
internal sealed class GerberBoard
{
    private readonly FabricationDescription description;
    private readonly ImportLimits limits;
    private readonly ImportNotes notes;
    private readonly CancellationToken cancellationToken;

    private GerberBoard(FabricationDescription description, ImportLimits limits, ImportNotes notes, CancellationToken cancellationToken) =>
        (this.description, this.limits, this.notes, this.cancellationToken) = (description, limits, notes, cancellationToken);

    /// <summary>Null where faults were found.</summary>
    public static FabricationData? Read(RecognizedFiles files, FabricationDescription description, ImportLimits limits, ImportNotes notes, CancellationToken cancellationToken) =>
        new GerberBoard(description, limits, notes, cancellationToken).Read(files);

    private FabricationData? Read(RecognizedFiles files)
    {
        var images = ReadImages(files.Board);
        if (notes.Faults.Count > 0) return null;
        var copperFiles = images.Where(i => i.File.Kind == FileKind.Copper).ToList();
        var stack = JobStack(files.Job, copperFiles.Count) ?? StackRows.For(description, copperFiles.Count, notes);
        var names = StackRows.CopperNames(stack);
        var ordered = CopperLayers.Order(copperFiles, names, description.Stack is not null, description, notes);
        var profile = FindOutline(images, copperFiles);
        if (ordered is null || profile is null) return null;
        var holes = ReadHoles(files.Board, names, profile);
        if (notes.Faults.Count > 0) return null;
        var outline = BoardDrilling.CutSlots(profile, holes, notes);
        var copper = new BoardCopper([.. ordered.Select((o, i) => CopperLayers.Paint(names[i], o.File, o.Image, outline, notes))]);
        WarnOfCopperBesideTheBoard(copper, outline.Bounds);
        return new FabricationData
        {
            Stack = stack,
            Names = names,
            Outline = outline,
            Copper = copper,
            Holes = holes,
            Components = [.. images.Where(i => i.File.Kind == FileKind.Component).SelectMany(i => ComponentLayers.Read(i.File, i.Image))],
        };
    }

    /// <summary>Of a job file, where the description gives none and its copper rows are as many as the copper files.</summary>
    private IReadOnlyList<StackRowDocument>? JobStack(RecognizedFile? job, int copperFiles)
    {
        if (job is null || description.Stack is not null) return null;
        if (JobFile.Stack(job.Text) is { } rows && rows.Count(r => r.Kind == "copper") == copperFiles)
        {
            notes.Warn($"{job.Name}: the stack was taken from this job file (µm from the top): {StackRows.Tell(rows)}");
            return rows;
        }
        notes.Warn($"{job.Name}: says no thickness of each row of the board's {copperFiles} copper layers, so its stack was not taken");
        return null;
    }

    private List<(RecognizedFile File, GerberImage Image)> ReadImages(IReadOnlyList<RecognizedFile> files)
    {
        var wanted = files.Where(f => f.Kind is FileKind.Copper or FileKind.Profile or FileKind.Component).ToList();
        foreach (var file in wanted.Where(f => f.Syntax != FileSyntax.Gerber)) notes.FileFault(file.Name, "line 1, column 1: a copper or profile file must be a Gerber file, and this is drill data");
        wanted.RemoveAll(f => f.Syntax != FileSyntax.Gerber);
        var read = new (GerberImage? Image, FileNotes Notes, string? Fault)[wanted.Count];
        Parallel.For(0, wanted.Count, new ParallelOptions { CancellationToken = cancellationToken, MaxDegreeOfParallelism = Math.Min(4, Environment.ProcessorCount) }, i =>
        {
            var fileNotes = new FileNotes(wanted[i].Name);
            try
            {
                read[i] = (GerberReader.Read(wanted[i].Text, fileNotes, limits, cancellationToken), fileNotes, null);
            }
            catch (UnreadableFileException unreadable)
            {
                read[i] = (null, fileNotes, unreadable.Message);
            }
            catch (NetTopologySuite.Geometries.TopologyException)
            {
                read[i] = (null, fileNotes, ImportNotes.Unresolved);
            }
        });
        var images = new List<(RecognizedFile, GerberImage)>();
        for (int i = 0; i < read.Length; i++)
        {
            if (read[i].Fault is { } fault) notes.FileFault(wanted[i].Name, fault);
            else images.Add((wanted[i], read[i].Image!));
            read[i].Notes.WriteTo(notes);
        }
        return images;
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
            notes.ReadFile(file.Name, _ => holes.AddRange(BoardDrilling.Read(file, names, outline.Bounds.Grow(2), description, limits, notes, cancellationToken)));
        }
        BoardDrilling.LeaveOutWhatIsOffTheBoard(holes, outline, notes);
        if (!files.Any(f => f.Kind == FileKind.Drill)) notes.Warn("there is no drill file: the layout has no vias");
        return holes;
    }
}
