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

/// <summary>Who did what: a line of JSON for every request that changes something and for every one that was refused for want of a right, by days (UTC).</summary>
internal interface IAuditLog
{
    void Add(AuditLine line);

    /// <summary>The lines of a day, oldest first, one JSON object each.</summary>
    byte[] Read(DateOnly day);
}
