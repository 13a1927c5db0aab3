using System.Globalization;
using System.Text.Json;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Access;

/// <summary>One line of the audit log.</summary>
/// <param name="Time">When it was answered.</param>
/// <param name="RequestId">As in the log and in the header <c>X-Request-Id</c>.</param>
/// <param name="Tenant">Empty: the service without keys, or nobody known.</param>
/// <param name="Key">Id of the key.</param>
/// <param name="KeyName">Its name.</param>
/// <param name="Method">HTTP.</param>
/// <param name="Path">Of the request.</param>
/// <param name="Status">HTTP.</param>
/// <param name="Location">What was made, or is to be made.</param>
/// <param name="From">Address of the other end.</param>
internal sealed record AuditLine(DateTimeOffset Time, string RequestId, string Tenant, string? Key, string? KeyName, string Method, string Path, int Status, string? Location, string? From);

/// <summary>Who did what: a line of JSON for every request that changes something and for every one that was refused for want of a right, in a file for each day (UTC).</summary>
internal sealed class AuditLog(DataFolder folder)
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

    /// <summary>The lines of a day, oldest first, one JSON object each.</summary>
    public byte[] Read(DateOnly day)
    {
        lock (_gate) return File.Exists(FileOf(day)) ? File.ReadAllBytes(FileOf(day)) : [];
    }

    private string FileOf(DateOnly day) => Path.Combine(_folder, day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture) + ".jsonl");
}
