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

    [LoggerMessage(7, LogLevel.Error, "The warm-up failed, so the service does not report itself ready.")]
    public static partial void WarmUpFailed(this ILogger logger, Exception exception);
}
