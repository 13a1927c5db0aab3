using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Rendering;
using HeatSpread.Service.Layouts;
using HeatSpread.Thermal;
using Microsoft.Extensions.Diagnostics.HealthChecks;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Operations;

/// <summary>
/// Solves and draws a toy board once before the service says that it is ready, so that the first user does not wait for the compiler, and
/// a missing native library shows at the start.
/// </summary>
internal sealed class WarmUp(SolveCapacity capacity, IOptions<ServiceSettings> settings, TimeProvider clock, ILogger<WarmUp> logger) : BackgroundService, IHealthCheck
{
    private volatile string? _waitingFor = "the warm-up is not done";

    public Task<HealthCheckResult> CheckHealthAsync(HealthCheckContext context, CancellationToken cancellationToken = default) =>
        Task.FromResult(_waitingFor is { } reason ? HealthCheckResult.Unhealthy(reason) : HealthCheckResult.Healthy());

    protected override Task ExecuteAsync(CancellationToken stoppingToken) => Task.Factory.StartNew(
        () =>
        {
            long start = clock.GetTimestamp();
            try
            {
                Run(stoppingToken);
                _waitingFor = null;
                logger.Warm(clock.GetElapsedTime(start).TotalSeconds);
            }
            catch (Exception fault) when (fault is not OperationCanceledException || !stoppingToken.IsCancellationRequested)
            {
                _waitingFor = "the warm-up failed; the log says why";
                logger.WarmUpFailed(fault);
            }
        },
        stoppingToken,
        TaskCreationOptions.LongRunning,
        TaskScheduler.Default);

    private void Run(CancellationToken stopping)
    {
        using var toy = JsonDocument.Parse(typeof(WarmUp).Assembly.GetManifestResourceStream("warm-up.json")!);
        var layout = LayoutIntake.Read(System.Text.Encoding.UTF8.GetBytes(toy.RootElement.GetProperty("layout").GetRawText()), settings.Value.Layout).Layout!;
        var conditions = ConditionsReader.Read(toy.RootElement.GetProperty("conditions"), "/conditions", layout.Board, layout.Unit).Value!;
        var solution = BoardAnalysis.Analyse(layout.Board, conditions, new GridChoice(0.5e-3, null), capacity, null, stopping);
        var raster = CopperRaster.Build(layout.Board, solution.Field.Grid, stopping);
        LayerMap.Draw(layout.Board, raster, solution.Field, 0, solution.HotSpots, new MapOptions { Isotherms = true });
        CameraView.Draw(layout.Board, solution.Field, BoardSide.Top, new MapOptions());
        CopperMap.Draw(layout.Board, raster, 0, new MapOptions().Width);
    }
}
