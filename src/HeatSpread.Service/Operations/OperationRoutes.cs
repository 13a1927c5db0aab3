using HeatSpread.Service.Access;
using HeatSpread.Service.Storage;
using Microsoft.AspNetCore.Http.HttpResults;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Operations;

/// <summary>What those who run the service ask it.</summary>
internal static class OperationRoutes
{
    public static void MapOperations(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("").WithTags("Operations");
        group.MapGet("/health/live", Live).WithName("live").WithSummary("The process answers").Produces<HealthAnswer>();
        group.MapGet("/health/ready", Ready).WithName("ready").WithSummary("The service can do its work").Produces<HealthAnswer>().Produces<HealthAnswer>(503);
        routes.MapPrometheusScrapingEndpoint().WithMetadata(new NeedsScope(Scope.Admin));
    }

    private static Ok<HealthAnswer> Live() => TypedResults.Ok(new HealthAnswer("live", []));

    private static async Task<IResult> Ready(HealthCheckService checks, CancellationToken cancellationToken)
    {
        var report = await checks.CheckHealthAsync(cancellationToken);
        string[] reasons = [.. report.Entries.Where(e => e.Value.Status != HealthStatus.Healthy).Select(e => $"{e.Key}: {e.Value.Description ?? e.Value.Exception?.Message}")];
        return TypedResults.Json(new HealthAnswer(reasons.Length == 0 ? "ready" : "not ready", reasons), ServiceJson.Written.HealthAnswer, statusCode: reasons.Length == 0 ? 200 : 503);
    }
}

/// <param name="Status"><c>live</c>, <c>ready</c> or <c>not ready</c>.</param>
/// <param name="Reasons">Why it is not ready.</param>
internal sealed record HealthAnswer(string Status, IReadOnlyList<string> Reasons);

/// <summary>The data folder takes writes and has room.</summary>
internal sealed class DataFolderCheck(DataFolder folder, IOptions<ServiceSettings> settings) : IHealthCheck
{
    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            folder.CheckWritable();
            long free = folder.FreeBytes, least = settings.Value.MinimumFreeBytes;
            if (free < least) return Task.FromResult(HealthCheckResult.Unhealthy($"The disk of the data folder has {free} bytes left, fewer than {least} (setting {ServiceSettings.Section}:{nameof(ServiceSettings.MinimumFreeBytes)})."));
            return Task.FromResult(HealthCheckResult.Healthy());
        }
        catch (Exception fault) when (fault is IOException or UnauthorizedAccessException)
        {
            return Task.FromResult(HealthCheckResult.Unhealthy($"The data folder cannot be written: {fault.Message}"));
        }
    }
}
