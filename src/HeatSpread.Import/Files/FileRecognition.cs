using System.Globalization;
using HeatSpread.Boards;

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

    private FileRecognition(ImportNotes notes) => this.notes = notes;

    public static IReadOnlyList<RecognizedFile> Recognize(FabricationDescription description, IReadOnlyList<FabricationFile> files, ImportNotes notes)
    {
        var recognition = new FileRecognition(notes);
        recognition.ReadRoles(description, files);
        foreach (var file in files) recognition.Add(file);
        if (recognition.unused.Count > 0) notes.Warn($"not used: {string.Join("; ", recognition.unused)}");
        return recognition.recognized;
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
        string? text = FileContent.Text(file.Content);
        var syntax = text is null ? FileSyntax.Other : FileContent.Syntax(text);
        roles.TryGetValue(file.Name, out var role);
        if (text is null || syntax is FileSyntax.Other or FileSyntax.Ipc2581)
        {
            if (role is not null) notes.FileFault(file.Name, "line 1, column 1: a file with a role in the description must be a Gerber or a drill file, and this is neither");
            else unused.Add($"{file.Name} ({(syntax == FileSyntax.Ipc2581 ? "IPC-2581, which this version does not read" : "neither Gerber nor drill data")})");
            return;
        }
        var plain = new RecognizedFile(file.Name, text, syntax, FileKind.Other) { Function = FileContent.Function(text) };
        var known = role is not null ? ByRole(plain, role) : ByFunction(plain) ?? ByName(plain);
        if (known is { Kind: not FileKind.Other }) recognized.Add(known);
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
