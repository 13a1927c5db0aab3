using System.Text.Json.Serialization;
using HeatSpread.Boards;

namespace HeatSpread.Service.Problems;

/// <summary>An answer by RFC 9457, <c>application/problem+json</c>.</summary>
/// <param name="Kind">Gives type, status and title.</param>
/// <param name="Detail">What happened this time, for a person.</param>
/// <param name="Faults">Each fault of what was posted.</param>
internal sealed record Problem(ProblemKind Kind, string Detail, IReadOnlyList<Fault>? Faults = null) : IResult
{
    /// <summary>Seconds after which to try again; 0: say nothing of it.</summary>
    public int RetryAfterSeconds { get; init; }

    /// <summary>Of a converter that runs away: the greatest load that was found to have a steady state, A.</summary>
    public double? LastStableOutputAmps { get; init; }

    public static Problem NotFound(string what) => new(ProblemKind.NotFound, what);

    /// <summary>A problem whose detail counts its faults.</summary>
    public static Problem Of(ProblemKind kind, IReadOnlyList<Fault> faults) =>
        new(kind, faults.Count == 1 ? "One fault was found; it is listed in errors." : $"{faults.Count} faults were found; each is listed in errors.", faults);

    /// <summary>The problem that another process wrote down.</summary>
    public static Problem Of(ProblemBody body) =>
        new(ProblemKind.Written(body), body.Detail, body.Errors.Count == 0 ? null : [.. body.Errors.Select(e => new Fault(e.Pointer, e.Detail))]) { LastStableOutputAmps = body.LastStableOutputAmps };

    public Task ExecuteAsync(HttpContext httpContext)
    {
        var response = httpContext.Response;
        response.StatusCode = Kind.Status;
        response.Headers.CacheControl = "no-store";
        if (Kind == ProblemKind.BodyTooLarge) response.Headers.Connection = "close"; // the rest of the body is not read, so the connection cannot serve again
        if (RetryAfterSeconds > 0) response.Headers.RetryAfter = RetryAfterSeconds.ToString(System.Globalization.CultureInfo.InvariantCulture);
        // not with RequestAborted: a problem is told of requests too whose time is over
        return response.WriteAsJsonAsync(ToBody(), ServiceJson.Written.ProblemBody, "application/problem+json", CancellationToken.None);
    }

    public ProblemBody ToBody() => new(Kind.Type, Kind.Title, Kind.Status, Detail, [.. (Faults ?? []).Select(f => new ProblemError(f.Pointer, f.Detail))]) { LastStableOutputAmps = LastStableOutputAmps };
}

/// <summary>What is sent for a problem (RFC 9457).</summary>
/// <param name="Type">Stable, one for each kind of problem.</param>
/// <param name="Title">Of the kind.</param>
/// <param name="Status">The HTTP status.</param>
/// <param name="Detail">Of this occurrence.</param>
/// <param name="Errors">Every fault of what was posted.</param>
internal sealed record ProblemBody(string Type, string Title, int Status, string Detail, IReadOnlyList<ProblemError> Errors)
{
    /// <summary>Only of a converter that runs away: the greatest load that was found to have a steady state, A.</summary>
    [JsonIgnore(Condition = JsonIgnoreCondition.WhenWritingNull)]
    public double? LastStableOutputAmps { get; init; }
}

/// <summary>One fault of what was posted.</summary>
/// <param name="Pointer">JSON Pointer (RFC 6901) into what was posted.</param>
/// <param name="Detail">What must hold, and what was found.</param>
internal sealed record ProblemError(string Pointer, string Detail);
