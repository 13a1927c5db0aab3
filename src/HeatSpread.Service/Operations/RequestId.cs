using System.Text.RegularExpressions;

namespace HeatSpread.Service.Operations;

/// <summary>
/// Gives each request an id, the client's own where it sent a fit one as <c>X-Request-Id</c>: it is answered, stands in every line of the log and in the audit log.
/// </summary>
internal sealed partial class RequestId(RequestDelegate next, TimeProvider clock, ILogger<RequestId> logger)
{
    private const string Header = "X-Request-Id";

    public async Task InvokeAsync(HttpContext context)
    {
        string sent = context.Request.Headers[Header].ToString();
        string id = Fit().IsMatch(sent) ? sent : Guid.NewGuid().ToString("N");
        context.TraceIdentifier = id;
        context.Response.OnStarting(() =>
        {
            context.Response.Headers[Header] = id;
            return Task.CompletedTask;
        });
        using var scope = logger.BeginScope(new Dictionary<string, object> { ["RequestId"] = id });
        long start = clock.GetTimestamp();
        await next(context);
        logger.Answered(context.Request.Method, context.Request.Path, context.Response.StatusCode, clock.GetElapsedTime(start).TotalMilliseconds);
    }

    [GeneratedRegex(@"\A[A-Za-z0-9._-]{1,64}\z")]
    private static partial Regex Fit();
}
