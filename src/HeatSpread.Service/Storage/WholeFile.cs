using System.Runtime.InteropServices;

namespace HeatSpread.Service.Storage;

/// <summary>Files and folders that appear whole or not at all, also when the power fails.</summary>
internal static partial class WholeFile
{
    /// <summary>Writes beside, flushes and renames: a reader finds the old bytes or the new ones.</summary>
    public static void Write(string path, ReadOnlySpan<byte> content)
    {
        string beside = $"{path}.{Guid.NewGuid():N}";
        WriteThrough(beside, content);
        File.Move(beside, path, overwrite: true);
        FlushFolder(Path.GetDirectoryName(path)!);
    }

    /// <summary>Writes a new file and waits until the disk has it.</summary>
    public static void WriteThrough(string path, ReadOnlySpan<byte> content)
    {
        using var stream = new FileStream(path, FileMode.CreateNew, FileAccess.Write, FileShare.None, bufferSize: 0);
        stream.Write(content);
        stream.Flush(flushToDisk: true);
    }

    /// <summary>Waits until the disk has the names in a folder. A rename is safe from a killed process without it, but not from a power cut.</summary>
    public static void FlushFolder(string path)
    {
        if (!OperatingSystem.IsLinux() && !OperatingSystem.IsMacOS()) return; // other systems keep names in a journal and give no such call
        int folder = Open(path, 0);
        if (folder < 0) return;
        _ = Synchronise(folder);
        _ = Close(folder);
    }

    [LibraryImport("libc", EntryPoint = "open", StringMarshalling = StringMarshalling.Utf8)]
    private static partial int Open(string path, int flags);

    [LibraryImport("libc", EntryPoint = "fsync")]
    private static partial int Synchronise(int file);

    [LibraryImport("libc", EntryPoint = "close")]
    private static partial int Close(int file);
}
