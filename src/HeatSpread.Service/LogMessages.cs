namespace HeatSpread.Service;

/// <summary>Everything this service says in its log.</summary>
internal static partial class LogMessages
{
    [LoggerMessage(1, LogLevel.Error, "{Method} {Path} failed.")]
    public static partial void RequestFailed(this ILogger logger, string method, string path, Exception exception);

    [LoggerMessage(2, LogLevel.Error, "The entry {Id} of {Kind} is damaged; it has been moved to {Place}.")]
    public static partial void EntrySetAside(this ILogger logger, string kind, string id, string place);

    [LoggerMessage(3, LogLevel.Error, "{File} cannot be read.")]
    public static partial void EntryUnreadable(this ILogger logger, string file, Exception exception);

    [LoggerMessage(4, LogLevel.Error, "The solve of {Id} failed.")]
    public static partial void SolveFailed(this ILogger logger, string id, Exception exception);

    [LoggerMessage(5, LogLevel.Information, "Solved {Id}: {Unknowns} unknowns, {Iterations} iterations, {Seconds:0.000} s.")]
    public static partial void Solved(this ILogger logger, string id, int unknowns, int iterations, double seconds);

    [LoggerMessage(6, LogLevel.Information, "Warm after {Seconds:0.00} s.")]
    public static partial void Warm(this ILogger logger, double seconds);

    [LoggerMessage(8, LogLevel.Information, "Takes up {Id} again, which was accepted before this start.")]
    public static partial void TakenUp(this ILogger logger, string id);

    [LoggerMessage(9, LogLevel.Information, "{Method} {Path} answered {Status} in {Milliseconds:0.0} ms.")]
    public static partial void Answered(this ILogger logger, string method, string path, int status, double milliseconds);

    [LoggerMessage(10, LogLevel.Error, "{Method} {Path} could not be written to the audit log.")]
    public static partial void AuditFailed(this ILogger logger, string method, string path, Exception exception);

    [LoggerMessage(11, LogLevel.Information, "Removed {Solutions} solutions, {Studies} studies and {Layouts} layouts of tenant {Tenant} that were too old or too many.")]
    public static partial void Swept(this ILogger logger, string tenant, int solutions, int studies, int layouts);

    [LoggerMessage(12, LogLevel.Error, "What is too old could not be removed.")]
    public static partial void SweepFailed(this ILogger logger, Exception exception);

    [LoggerMessage(13, LogLevel.Error, "The end of {Id} could not be written down.")]
    public static partial void EndNotKept(this ILogger logger, string id, Exception exception);

    [LoggerMessage(14, LogLevel.Error, "A worker could not go on with the queue; it tries again.")]
    public static partial void WorkerFault(this ILogger logger, Exception exception);

    [LoggerMessage(15, LogLevel.Error, "{Source} cannot be followed; it is tried again.")]
    public static partial void MirrorFault(this ILogger logger, string source, Exception exception);

    [LoggerMessage(16, LogLevel.Warning, "The lease of {Id} could not be prolonged.")]
    public static partial void LeaseFault(this ILogger logger, string id, Exception exception);

    [LoggerMessage(7, LogLevel.Error, "The warm-up failed, so the service does not report itself ready.")]
    public static partial void WarmUpFailed(this ILogger logger, Exception exception);
}
