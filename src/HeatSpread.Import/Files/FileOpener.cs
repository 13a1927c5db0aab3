using System.IO.Compression;

namespace HeatSpread.Import.Files;

/// <summary>Takes posted files one by one, and those in archives, as long as all of them together keep the limits.</summary>
internal sealed class FileOpener(ImportLimits limits, ImportNotes notes)
{
    private readonly Dictionary<string, string> names = new(StringComparer.OrdinalIgnoreCase);
    private long total;
    private bool tooMany;

    public List<FabricationFile> Files { get; } = [];

    /// <param name="path">As posted or as in the archive.</param>
    /// <param name="content">Unpacked.</param>
    /// <param name="origin">The posted file, for faults.</param>
    public void Add(string path, ReadOnlyMemory<byte> content, string origin)
    {
        if (PlainName(path) is not { } name) notes.FileFault(origin, $"the name of a file must stay in its folder: no '..', no drive, no leading '/'; '{Printable(path)}' was found");
        else if (names.TryGetValue(name, out string? other)) notes.FileFault(origin, $"each file must have a name of its own, folders left aside; '{Printable(path)}' and '{Printable(other)}' have the same");
        else if (content.Length > limits.MaxFileBytes) notes.FileFault(name, $"a file may have {limits.MaxFileBytes} bytes at most, and {content.Length} were found");
        else if (Files.Count >= limits.MaxFiles) ReportTooMany(origin);
        else if ((total += content.Length) > limits.MaxTotalBytes) notes.FileFault(name, $"all files together may have {limits.MaxTotalBytes} bytes at most, unpacked");
        else
        {
            names[name] = path;
            Files.Add(new FabricationFile(name, content));
        }
    }

    /// <summary>A single file packed by gzip, as IPC-2581 documents often are; its name loses the suffix.</summary>
    public void AddGzip(string path, ReadOnlyMemory<byte> packed, string origin)
    {
        try
        {
            using var unpacking = new GZipStream(new MemoryStream(packed.ToArray(), writable: false), CompressionMode.Decompress);
            if (Unpack(unpacking, packed.Length, Math.Min(limits.MaxFileBytes, limits.MaxTotalBytes - total)) is not { } content)
            {
                notes.FileFault(origin, $"'{Printable(path)}' must unpack to {limits.MaxFileBytes} bytes at most, and at most {limits.MaxCompressionRatio} times its packed size; it is larger");
            }
            else Add(path.EndsWith(".gz", StringComparison.OrdinalIgnoreCase) ? path[..^3] : path, content, origin);
        }
        catch (Exception broken) when (broken is InvalidDataException or IOException)
        {
            notes.FileFault(origin, $"'{Printable(path)}' must be a gzip file that can be unpacked: {broken.Message}");
        }
    }

    public void AddArchive(FabricationFile file, CancellationToken cancellationToken)
    {
        try
        {
            using var archive = new ZipArchive(new MemoryStream(file.Content.ToArray(), writable: false), ZipArchiveMode.Read);
            if (archive.Entries.Count > limits.MaxFiles) ReportTooMany(file.Name);
            else
            {
                foreach (var entry in archive.Entries.Where(e => !IsClutter(e.FullName)))
                {
                    cancellationToken.ThrowIfCancellationRequested();
                    AddEntry(file, entry);
                }
            }
        }
        catch (Exception broken) when (broken is InvalidDataException or IOException or NotSupportedException or ArgumentException)
        {
            notes.FileFault(file.Name, $"must be a ZIP that can be unpacked: {broken.Message}");
        }
    }

    public static bool IsZip(ReadOnlySpan<byte> content) => content.Length >= 4 && content[0] == 'P' && content[1] == 'K' && content[2] is 3 or 5 && content[3] is 4 or 6;

    public static bool IsGzip(ReadOnlySpan<byte> content) => content.Length >= 3 && content[0] == 0x1F && content[1] == 0x8B && content[2] == 8;

    private void AddEntry(FabricationFile archive, ZipArchiveEntry entry)
    {
        string inside = $"'{Printable(entry.FullName)}' in it";
        if (entry.IsEncrypted) notes.FileFault(archive.Name, $"{inside} must not be encrypted");
        else if (Unpack(entry, Math.Min(limits.MaxFileBytes, limits.MaxTotalBytes - total)) is not { } content)
        {
            notes.FileFault(archive.Name, $"{inside} must unpack to {limits.MaxFileBytes} bytes at most (and all files together to {limits.MaxTotalBytes}), and at most {limits.MaxCompressionRatio} times its packed size; it is larger");
        }
        else if (IsZip(content)) notes.FileFault(archive.Name, $"{inside} is a ZIP itself; archives within archives are not opened");
        else if (IsGzip(content)) AddGzip(entry.FullName, content, archive.Name);
        else Add(entry.FullName, content, archive.Name);
    }

    /// <summary>Null where there is too much; the size is counted while unpacking, as the one written in the archive may lie.</summary>
    private byte[]? Unpack(ZipArchiveEntry entry, long limit)
    {
        using var source = entry.Open();
        return Unpack(source, entry.CompressedLength, limit);
    }

    private byte[]? Unpack(Stream source, long packed, long limit)
    {
        const long JudgedFrom = 1 << 20;
        limit = Math.Min(limit, Math.Max(JudgedFrom, packed * limits.MaxCompressionRatio));
        using var target = new MemoryStream();
        var buffer = new byte[81920];
        for (int read; (read = source.Read(buffer)) > 0;)
        {
            if (target.Length + read > limit) return null;
            target.Write(buffer, 0, read);
        }
        return target.ToArray();
    }

    private void ReportTooMany(string origin)
    {
        if (!tooMany) notes.FileFault(origin, $"{limits.MaxFiles} files may be posted at most, those in a ZIP counted");
        tooMany = true;
    }

    private static bool IsClutter(string path) =>
        path.EndsWith('/') || path.EndsWith('\\') || path.StartsWith("__MACOSX/", StringComparison.Ordinal) || path.EndsWith(".DS_Store", StringComparison.Ordinal);

    /// <summary>The last segment of a path; null where the path leads out of its folder.</summary>
    private static string? PlainName(string path)
    {
        string[] segments = path.Replace('\\', '/').Split('/');
        bool leadsOut = segments.Length > 1 && segments[0].Length == 0 || segments.Any(s => s is ".." || s.Contains(':', StringComparison.Ordinal) || s.Any(char.IsControl));
        return leadsOut || segments[^1].Length is 0 or > 255 || segments[^1] == "." ? null : segments[^1];
    }

    private static string Printable(string path)
    {
        string text = string.Concat(path.Take(80).Select(c => char.IsControl(c) ? '?' : c));
        return text.Length < path.Length ? text + "…" : text;
    }
}
