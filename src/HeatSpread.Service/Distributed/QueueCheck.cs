using HeatSpread.Service.Jobs;
using Microsoft.Extensions.Diagnostics.HealthChecks;

namespace HeatSpread.Service.Distributed;

/// <summary>The queue and store answer, and the lists are whole.</summary>
internal sealed class QueueCheck(NatsLink link, BucketMirror<Manifest> index) : IHealthCheck
{
    private static readonly TimeSpan Patience = TimeSpan.FromSeconds(2);

    public async Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default)
    {
        try
        {
            await link.Check(cancellationToken).WaitAsync(Patience, cancellationToken);
            return index.IsWhole ? HealthCheckResult.Healthy() : HealthCheckResult.Unhealthy("The lists of what is kept are not read yet.");
        }
        catch (Exception fault) when (fault is QueueAwayException or TimeoutException)
        {
            return HealthCheckResult.Unhealthy("The queue and store do not answer.");
        }
    }
}
