using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Storage;

/// <summary>The folder of everything that is kept, held by this process alone from start to end.</summary>
internal sealed class DataFolder : IDisposable
{
    private readonly FileStream _lock;

    /// <exception cref="IOException">The folder cannot be written, or another process holds it; the message says which and what to do.</exception>
    public DataFolder(IOptions<ServiceSettings> settings, IHostEnvironment environment)
    {
        Root = Path.GetFullPath(settings.Value.DataFolder, environment.ContentRootPath);
        try
        {
            Directory.CreateDirectory(Root);
            File.WriteAllText(Path.Combine(Root, "writable"), "");
            File.Delete(Path.Combine(Root, "writable"));
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            throw new IOException($"The data folder {Root} cannot be written ({fault.Message}) Choose another with the setting {ServiceSettings.Section}:{nameof(ServiceSettings.DataFolder)}.", fault);
        }
        try
        {
            _lock = new FileStream(Path.Combine(Root, "lock"), FileMode.OpenOrCreate, FileAccess.ReadWrite, FileShare.None);
        }
        catch (IOException fault)
        {
            throw new IOException($"The data folder {Root} is in use by another process. Give each its own with the setting {ServiceSettings.Section}:{nameof(ServiceSettings.DataFolder)}.", fault);
        }
    }

    public string Root { get; }

    /// <summary>Room left on its disk for this user, bytes.</summary>
    public long FreeBytes => new DriveInfo(Root).AvailableFreeSpace;

    /// <summary>Throws where the folder can no longer be written.</summary>
    public void CheckWritable()
    {
        _lock.Position = 0;
        _lock.WriteByte((byte)'.');
        _lock.Flush();
    }

    public void Dispose() => _lock.Dispose();
}
