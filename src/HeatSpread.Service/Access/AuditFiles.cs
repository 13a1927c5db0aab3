using System.Globalization;
using System.Text.Json;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Access;

/// <summary>In a file of the data folder for each day.</summary>
internal sealed class AuditFiles(DataFolder folder) : IAuditLog
{
    private readonly string _folder = Directory.CreateDirectory(Path.Combine(folder.Root, "audit")).FullName;
    private readonly Lock _gate = new();

    public void Add(AuditLine line)
    {
        byte[] json = [.. JsonSerializer.SerializeToUtf8Bytes(line, ServiceJson.Written.AuditLine), (byte)'\n'];
        lock (_gate)
        {
            using var file = new FileStream(FileOf(DateOnly.FromDateTime(line.Time.UtcDateTime)), FileMode.Append, FileAccess.Write, FileShare.Read, bufferSize: 0);
            file.Write(json);
        }
    }

    public byte[] Read(DateOnly day)
    {
        lock (_gate) return File.Exists(FileOf(day)) ? File.ReadAllBytes(FileOf(day)) : [];
    }

    private string FileOf(DateOnly day) => Path.Combine(_folder, day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) + ".jsonl");
}
