using HeatSpread.Service.Jobs;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Access;

/// <summary>Writes the audit log as requests end.</summary>
internal sealed class AuditTrail(RequestDelegate next, IAuditLog log, TimeProvider clock, ILogger<AuditTrail> logger)
{
    public async Task InvokeAsync(HttpContext context, Caller caller)
    {
        string method = context.Request.Method; // before it is rewritten
        bool changes = !HttpMethods.IsGet(method) && !HttpMethods.IsHead(method) && !HttpMethods.IsOptions(method);
        await next(context);
        int status = context.Response.StatusCode;
        if (!changes && status is not (StatusCodes.Status401Unauthorized or StatusCodes.Status403Forbidden)) return;
        string? location = context.Response.Headers.Location.ToString() is { Length: > 0 } made ? made : null;
        try
        {
            log.Add(new AuditLine(
                clock.GetUtcNow(), context.TraceIdentifier, caller.Tenant, caller.Key?.Id, caller.Key?.Name, method, context.Request.Path, status, location, context.Connection.RemoteIpAddress?.ToString()));
        }
        catch (Exception fault) when (fault is IOException or QueueAwayException)
        {
            logger.AuditFailed(method, context.Request.Path, fault); // the answer is out; readiness tells of the disk or the queue
        }
    }
}
