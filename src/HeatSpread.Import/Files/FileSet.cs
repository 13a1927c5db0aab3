namespace HeatSpread.Import.Files;

/// <summary>The posted files with ZIPs opened, each within the limits and under a plain name of its own.</summary>
internal static class FileSet
{
    public static IReadOnlyList<FabricationFile> Open(IReadOnlyList<FabricationFile> posted, ImportLimits limits, ImportNotes notes, CancellationToken cancellationToken)
    {
        var opener = new FileOpener(limits, notes);
        foreach (var file in posted)
        {
            cancellationToken.ThrowIfCancellationRequested();
            if (FileOpener.IsZip(file.Content.Span)) opener.AddArchive(file, cancellationToken);
            else if (FileOpener.IsGzip(file.Content.Span)) opener.AddGzip(file.Name, file.Content, file.Name);
            else opener.Add(file.Name, file.Content, file.Name);
        }
        return opener.Files;
    }
}
