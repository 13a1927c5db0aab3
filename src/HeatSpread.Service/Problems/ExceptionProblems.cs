using HeatSpread.Boards;
using HeatSpread.Insight.Studies;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Storage;
using HeatSpread.Thermal;
using Microsoft.AspNetCore.Diagnostics;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Problems;

/// <summary>The one table from exceptions to problems.</summary>
internal sealed class ExceptionProblems(IOptions<ServiceSettings> settings, ILogger<ExceptionProblems> logger) : IExceptionHandler
{
    public async ValueTask<bool> TryHandleAsync(HttpContext httpContext, Exception exception, CancellationToken cancellationToken)
    {
        if (exception is OperationCanceledException && httpContext.RequestAborted.IsCancellationRequested)
        {
            httpContext.Response.StatusCode = StatusCodes.Status499ClientClosedRequest;
            return true; // nobody is left to read an answer
        }
        var problem = Of(exception);
        if (problem.Kind.Status >= 500) logger.RequestFailed(httpContext.Request.Method, httpContext.Request.Path, exception);
        await problem.ExecuteAsync(httpContext);
        return true;
    }

    public Problem Of(Exception exception) => exception switch
    {
        StudyCaseException unsound => Problem.Of(ProblemKind.InvalidStudyRequest, unsound.Faults),
        ThermalSolveException { NoWayOut: true } => new(ProblemKind.NoWayOut, exception.Message, [new Fault("/conditions/surfaces", exception.Message)]),
        ThermalSolveException { Faults.Count: > 0 } refused => Problem.Of(ProblemKind.InvalidSolutionRequest, [.. refused.Faults.Select(f => f with { Pointer = "/conditions" + f.Pointer })]),
        ThermalSolveException { IsRunaway: true } => Runaway((ThermalSolveException)exception),
        ThermalSolveException => new(ProblemKind.NotConverged, exception.Message),
        QueueAwayException => new(ProblemKind.QueueAway, exception.Message) { RetryAfterSeconds = 5 },
        BusyException => new(ProblemKind.Busy, exception.Message) { RetryAfterSeconds = 2 },
        DamagedEntryException => new(ProblemKind.DamagedEntry, exception.Message),
        BadHttpRequestException { StatusCode: StatusCodes.Status413PayloadTooLarge } => BodyTooLarge(settings.Value),
        BadHttpRequestException bad => new(ProblemKind.Of(bad.StatusCode), bad.Message),
        IOException full when IsFull(full) => new(ProblemKind.StorageFull, "The disk of the data folder is full, so nothing was stored.") { RetryAfterSeconds = 60 },
        OperationCanceledException => new(ProblemKind.Cancelled, "The work was given up before it was done.") { RetryAfterSeconds = 1 },
        _ => new(ProblemKind.Internal, "Something went wrong inside the service; its log says what."),
    };

    /// <summary>No space left on device, disk quota exceeded (errno.h); the same of Windows.</summary>
    private static bool IsFull(IOException fault) => (fault.HResult & 0xFFFF) is 28 or 122 or 0x70;

    private static Problem Runaway(ThermalSolveException exception) =>
        new(ProblemKind.ThermalRunaway, exception.Message, [new Fault(exception.LastStableOutputAmperes is null ? "/conditions" : "/conditions/converter/outputAmps", exception.Message)]) { LastStableOutputAmps = exception.LastStableOutputAmperes };

    public static Problem BodyTooLarge(ServiceSettings settings) => new(
        ProblemKind.BodyTooLarge, $"A body may have at most {settings.MaximumBodyBytes} bytes (setting {ServiceSettings.Section}:{nameof(ServiceSettings.MaximumBodyBytes)}).");
}
