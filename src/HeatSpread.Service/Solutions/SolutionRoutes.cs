using HeatSpread.Service.Jobs;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Solutions;

/// <summary>Solutions: ask, list, read, cancel or remove. Their pictures and fields are in <see cref="FieldRoutes"/>.</summary>
internal static class SolutionRoutes
{
    public static void MapSolutions(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/solutions").WithTags("Solutions");
        group.MapPost("", Ask).WithName("askSolution").WithSummary("Solves a layout under conditions, or finds the same solution again")
            .TakesDocuments(("application/json", "SolutionRequest")).Produces<SolutionAnswer>().Produces<SolutionProgress>(202).ProducesProblems(400, 413, 415, 422, 429, 500, 503, 504);
        group.MapGet("", List).WithName("listSolutions").WithSummary("Lists solutions, newest first").Produces<SolutionList>().WithMetadata(QueryOf.SolutionList).ProducesProblems(400);
        group.MapGet("{id}", Read).WithName("readSolution").WithSummary("The solution, or its state and progress").ProducesEither<SolutionAnswer, SolutionProgress>().Produces(304).ProducesProblems(404, 500);
        group.MapDelete("{id}", Remove).WithName("removeSolution").WithSummary("Cancels a solution, or removes it").Produces(204).ProducesProblems(404);
    }

    public static string Address(string id) => $"/v1/solutions/{id}";

    public static string Image(string id, string layer) => $"/v1/solutions/{id}/layers/{LayerName.Segment(layer)}.png";

    public static string CurrentImage(string id, string layer) => $"/v1/solutions/{id}/layers/{LayerName.Segment(layer)}/current.png";

    private static async Task<IResult> Ask(HttpContext context, BodyReader bodies, SolutionDesk desk, CancellationToken cancellationToken)
    {
        var (json, refused) = await bodies.ReadJson(context.Request, cancellationToken);
        if (refused is not null) return refused;
        var preference = Preference.Of(context.Request);
        var outcome = await desk.Ask(json, preference.Wait, cancellationToken);
        if (preference.Applied is not null) context.Response.Headers["Preference-Applied"] = preference.Applied;
        if (outcome.Problem is not null) return outcome.Problem;
        if (outcome.Progress is not null) return TypedResults.Accepted(Address(outcome.Id!), outcome.Progress);
        context.Response.Headers.Location = Address(outcome.Id!);
        return Answer(outcome.Answer!);
    }

    private static async Task<IResult> List(HttpRequest request, SolutionStore store, IWorkQueue queue, Workspace workspace, CancellationToken cancellationToken)
    {
        var reader = new QueryReader(request.Query);
        string? layout = reader.Text("layout"), name = reader.Text("name");
        var faults = reader.Faults();
        if (faults.Count > 0) return Problem.Of(ProblemKind.InvalidQuery, faults);
        var unfinished = await queue.Unfinished(workspace, cancellationToken);
        SolutionListItem[] solved = [.. store.List()];
        var ids = solved.Select(solution => solution.Id).ToHashSet(StringComparer.Ordinal); // what is known of the queue may lag behind the store
        var all = unfinished.Where(work => work.Kind == SolutionWork.KindName && !ids.Contains(work.Id)).Select(Unsolved).Concat(solved);
        return TypedResults.Ok(new SolutionList([.. all.Where(s => (layout is null || s.Layout == layout) && (name is null || s.Name == name))]));
    }

    private static SolutionListItem Unsolved(UnfinishedWork work) => new(work.Id, work.Labels.Layout, work.Labels.Name, work.Labels.Revision, work.State, null, null, [], null);

    private static async Task<IResult> Read(string id, SolutionLookup lookup, CancellationToken cancellationToken)
    {
        var found = await lookup.Find(id, cancellationToken);
        return found.Answer is { } answer ? Answer(answer) : found.Progress is { } progress ? TypedResults.Ok(progress) : Missing(id);
    }

    private static async Task<IResult> Remove(string id, SolutionStore store, IWorkQueue queue, Workspace workspace, CancellationToken cancellationToken)
    {
        bool cancelled = await queue.Cancel(SolutionWork.KindName, id, workspace, cancellationToken), removed = store.Remove(id);
        return cancelled || removed ? TypedResults.NoContent() : Missing(id);
    }

    // The state may change under the same address, so the client asks each time; what has not changed is not sent again.
    private static Immutable Answer(byte[] json) => new(ContentId.Of(json), "application/json", () => json) { AskEachTime = true };

    public static Problem Missing(string id) => Problem.NotFound($"There is no solution {id}.");
}
