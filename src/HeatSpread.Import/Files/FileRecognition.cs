using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Parts;

namespace HeatSpread.Import.Files;

/// <summary>A file whose role on the board is known.</summary>
/// <param name="Name">Without folders.</param>
/// <param name="Text">Content.</param>
/// <param name="Syntax">Gerber or drill.</param>
/// <param name="Kind">Copper, profile or drill.</param>
internal sealed record RecognizedFile(string Name, string Text, FileSyntax Syntax, FileKind Kind)
{
    /// <summary>Name of a copper layer, where the description gives it.</summary>
    public string? LayerName { get; init; }

    /// <summary>Grows from the top to the bottom copper layer.</summary>
    public double Order { get; init; }

    /// <summary>What the description says about a drill file.</summary>
    public DrillRoleDocument? Drill { get; init; }

    /// <summary>Fields of the file function attribute.</summary>
    public IReadOnlyList<string> Function { get; init; } = [];

    /// <summary>The role was taken from the file's name.</summary>
    public bool IsGuess { get; init; }
}

/// <param name="Board">Copper, profile, drill and component files.</param>
/// <param name="Ipc2581">A whole board in one document; then <paramref name="Board"/> is left aside.</param>
/// <param name="Placements">Tables of places.</param>
/// <param name="Netlists">IPC-D-356.</param>
internal sealed record RecognizedFiles(IReadOnlyList<RecognizedFile> Board, FabricationFile? Ipc2581, IReadOnlyList<RecognizedFile> Placements, IReadOnlyList<RecognizedFile> Netlists)
{
    /// <summary>A Gerber job file, for the stack.</summary>
    public RecognizedFile? Job { get; init; }
}

/// <summary>
/// Finds the role of each file: from the description, else from its file function, else from its name (which is reported). What is not needed is
/// named in a warning.
/// </summary>
internal sealed class FileRecognition
{
    private readonly ImportNotes notes;
    private readonly Dictionary<string, FileRoleDocument> roles = new(StringComparer.OrdinalIgnoreCase);
    private readonly List<RecognizedFile> recognized = [];
    private readonly List<string> unused = [];
    private readonly List<FabricationFile> documents = [];

    private FileRecognition(ImportNotes notes) => this.notes = notes;

    public static RecognizedFiles Recognize(FabricationDescription description, IReadOnlyList<FabricationFile> files, ImportNotes notes)
    {
        var recognition = new FileRecognition(notes);
        recognition.ReadRoles(description, files);
        foreach (var file in files) recognition.Add(file);
        var document = recognition.ChooseDocument();
        if (recognition.unused.Count > 0) notes.Warn($"not used: {string.Join("; ", recognition.unused)}");
        return new RecognizedFiles([.. recognition.recognized.Where(f => f.Kind is not (FileKind.Placement or FileKind.Netlist or FileKind.Job))], document,
            [.. recognition.recognized.Where(f => f.Kind == FileKind.Placement)], [.. recognition.recognized.Where(f => f.Kind == FileKind.Netlist)])
        {
            Job = recognition.recognized.Find(f => f.Kind == FileKind.Job),
        };
    }

    private void ReadRoles(FabricationDescription description, IReadOnlyList<FabricationFile> files)
    {
        for (int i = 0; i < description.Files.Count; i++)
        {
            var role = description.Files[i];
            if (!files.Any(f => string.Equals(f.Name, role.File, StringComparison.OrdinalIgnoreCase))) notes.Fault($"/files/{i}/file", $"must be the name of a posted file (or of one in the posted ZIP), and '{role.File}' is none; there are {Names(files)}");
            else if (!roles.TryAdd(role.File, role)) notes.Fault($"/files/{i}/file", $"each file must be named once, and '{role.File}' is named twice");
        }
    }

    private static string Names(IReadOnlyList<FabricationFile> files) => files.Count == 0 ? "no files" : string.Join(", ", files.Take(40).Select(f => $"'{f.Name}'"));

    private void Add(FabricationFile file)
    {
        roles.TryGetValue(file.Name, out var role);
        if (role is null && FileContent.IsIpc2581(file.Content))
        {
            documents.Add(file);
            return;
        }
        string? text = FileContent.Text(file.Content);
        var syntax = text is null ? FileSyntax.Other : FileContent.Syntax(text);
        if (text is null || syntax is FileSyntax.Other)
        {
            if (role is not null) notes.FileFault(file.Name, "line 1, column 1: a file with a role in the description must be a Gerber or a drill file, and this is neither");
            else if (text is not null && JobFile.IsOne(text)) recognized.Add(new RecognizedFile(file.Name, text, syntax, FileKind.Job));
            else if (text is not null && Netlist.IsOne(text)) recognized.Add(new RecognizedFile(file.Name, text, syntax, FileKind.Netlist));
            else if (text is not null && PlacementFile.IsOne(text)) recognized.Add(new RecognizedFile(file.Name, text, syntax, FileKind.Placement));
            else unused.Add($"{file.Name} (neither Gerber, drill data, IPC-2581, a placement table nor an IPC-D-356 netlist)");
            return;
        }
        var plain = new RecognizedFile(file.Name, text, syntax, FileKind.Other) { Function = FileContent.Function(text) };
        var known = role is not null ? ByRole(plain, role) : ByFunction(plain) ?? ByName(plain);
        if (known is { Kind: not FileKind.Other }) recognized.Add(known);
    }

    /// <summary>An IPC-2581 document says more than Gerber files beside it; where the description gives files roles, those are meant.</summary>
    private FabricationFile? ChooseDocument()
    {
        if (documents.Count == 0) return null;
        if (roles.Count > 0)
        {
            unused.AddRange(documents.Select(d => $"{d.Name} (IPC-2581; the description names files of the other kind)"));
            return null;
        }
        var others = recognized.Where(f => f.Kind is FileKind.Copper or FileKind.Profile or FileKind.Drill or FileKind.Component).ToList();
        if (others.Count > 0) notes.Warn($"{documents[0].Name}: the board was taken from this IPC-2581 document, and {string.Join(", ", others.Select(f => f.Name))} beside it were not used");
        if (documents.Count > 1) unused.AddRange(documents.Skip(1).Select(d => $"{d.Name} (one IPC-2581 document is read, the first)"));
        return documents[0];
    }

    private static RecognizedFile ByRole(RecognizedFile file, FileRoleDocument role)
    {
        if (role.Layer is { } layer) return file with { Kind = FileKind.Copper, LayerName = layer };
        return role.Profile ? file with { Kind = FileKind.Profile } : file with { Kind = FileKind.Drill, Drill = role.Drill };
    }

    private RecognizedFile? ByFunction(RecognizedFile file)
    {
        if (file.Function.Count == 0) return file.Syntax == FileSyntax.Drill ? file with { Kind = FileKind.Drill } : null;
        switch (file.Function[0])
        {
            case "Copper" when file.Function.Count > 1 && file.Function[1] is ['L', .. var number] && int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out int layer):
                return file with { Kind = FileKind.Copper, Order = layer };
            case "Profile": return file with { Kind = FileKind.Profile };
            case "Component": return file with { Kind = FileKind.Component };
            case "Plated" or "NonPlated" or "MixedPlating": return file with { Kind = FileKind.Drill };
            default:
                unused.Add($"{file.Name} ({string.Join(' ', file.Function)})");
                return file;
        }
    }

    private RecognizedFile ByName(RecognizedFile file)
    {
        var guess = NameGuess.Of(file.Name);
        if (guess is null or { Kind: FileKind.Other })
        {
            unused.Add($"{file.Name} ({guess?.What ?? "unknown: neither a file function nor its name says what it is"})");
            return file;
        }
        if (guess.Kind == FileKind.Profile) notes.Warn($"{file.Name}: taken as the {guess.What}, by its name");
        return file with { Kind = guess.Kind, Order = guess.Order, IsGuess = true };
    }
}
