using System.Net.ServerSentEvents;
using System.Runtime.CompilerServices;
using System.Text;
using System.Text.Json;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Tenants;
using Microsoft.AspNetCore.Http.HttpResults;

namespace HeatSpread.Service.Jobs;

/// <summary>
/// The progress of a solution as server-sent events (https://html.spec.whatwg.org/multipage/server-sent-events.html). Events of type <c>progress</c> hold a state;
/// the last is of the type of the state that it ended in: <c>solved</c> holds the solution, <c>failed</c> and <c>cancelled</c> the problem.
/// </summary>
internal static class EventRoutes
{
    private const string LastId = "end";

    /// <summary>A stream says something at least as often, for gateways close what is silent.</summary>
    private static readonly TimeSpan Silence = TimeSpan.FromSeconds(15);

    public static void MapSolutionEvents(this IEndpointRouteBuilder routes) => routes.MapGet("/v1/solutions/{id}/events", Stream)
        .WithTags("Solutions").WithName("watchSolution").WithSummary("Progress as server-sent events, which end with the solution or the problem")
        .WithDescription("Each event has an id; a client that lost its connection sends the last one it saw as Last-Event-ID and goes on from there. After the last event the answer is 204, which tells a browser not to connect again.")
        .Produces<string>(200, "text/event-stream").Produces(204).ProducesProblems(404, 500).DisableRequestTimeout();

    private static async Task<IResult> Stream(string id, HttpRequest request, IWorkQueue queue, SolutionLookup lookup, Workspace workspace, CancellationToken cancellationToken)
    {
        string seen = request.Headers["Last-Event-ID"].ToString();
        if (seen == LastId) return TypedResults.NoContent();
        if (await queue.Follow(SolutionWork.KindName, id, workspace, seen, cancellationToken) is { } events) return Send(request, Follow(events, cancellationToken));
        return await End(id, lookup, cancellationToken) is { } end ? Send(request, Only(end)) : SolutionRoutes.Missing(id);

        async IAsyncEnumerable<SseItem<string>> Follow(IAsyncEnumerable<WorkEvent> events, [EnumeratorCancellation] CancellationToken token)
        {
            await foreach (var item in Progress(id, events, lookup, token)) yield return item;
            yield return await End(id, lookup, token) ?? Event("failed", SolutionRoutes.Missing(id).ToBody(), ServiceJson.Written.ProblemBody, LastId);
        }
    }

    private static async IAsyncEnumerable<SseItem<string>> Progress(string id, IAsyncEnumerable<WorkEvent> work, SolutionLookup lookup, [EnumeratorCancellation] CancellationToken cancellationToken)
    {
        await using var events = work.GetAsyncEnumerator(cancellationToken);
        while (true)
        {
            var next = events.MoveNextAsync().AsTask();
            while (!next.IsCompleted)
            {
                await Task.WhenAny(next, Task.Delay(Silence, cancellationToken));
                cancellationToken.ThrowIfCancellationRequested();
                if (!next.IsCompleted && (await lookup.Find(id, cancellationToken)).Progress is { } now) yield return Event("progress", now, ServiceJson.Written.SolutionProgress, null);
            }
            if (!await next) yield break;
            yield return Event("progress", events.Current.Progress, ServiceJson.Written.SolutionProgress, events.Current.Id);
        }
    }

    /// <summary>The event that a stream ends with; null while nothing has ended.</summary>
    private static async Task<SseItem<string>?> End(string id, SolutionLookup lookup, CancellationToken cancellationToken)
    {
        var found = await lookup.Find(id, cancellationToken);
        if (found.Answer is { } answer) return new SseItem<string>(Encoding.UTF8.GetString(answer), "solved") { EventId = LastId };
        if (found.Progress is not { } progress) return null;
        return progress.State switch
        {
            SolutionState.Failed => Event("failed", progress, ServiceJson.Written.SolutionProgress, LastId),
            SolutionState.Cancelled => Event("cancelled", progress, ServiceJson.Written.SolutionProgress, LastId),
            _ => Event("progress", progress, ServiceJson.Written.SolutionProgress, null), // taken up again in a moment: the client asks again
        };
    }

    private static async IAsyncEnumerable<SseItem<string>> Only(SseItem<string> end)
    {
        await Task.CompletedTask;
        yield return end;
    }

    private static SseItem<string> Event<T>(string type, T data, System.Text.Json.Serialization.Metadata.JsonTypeInfo<T> json, string? id) =>
        id is null ? new(JsonSerializer.Serialize(data, json), type) : new(JsonSerializer.Serialize(data, json), type) { EventId = id };

    private static ServerSentEventsResult<string> Send(HttpRequest request, IAsyncEnumerable<SseItem<string>> events)
    {
        request.HttpContext.Response.Headers["X-Accel-Buffering"] = "no"; // a gateway that gathers answers would hold the events back
        return TypedResults.ServerSentEvents(events);
    }
}
