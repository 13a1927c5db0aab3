using System.Text.Json;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Studies;

/// <summary>Studies: ask, list, read, cancel or remove; their tables and plots.</summary>
internal static class StudyRoutes
{
    private const int UsualWidth = 900;

    public static void MapStudies(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/studies").WithTags("Studies");
        group.MapPost("", Ask).WithName("askStudy").WithSummary("Varies a base case: a sweep, a sample, a derating, how much copper a part needs, a transient, or a correlation with measurements")
            .WithDescription("With `Prefer: respond-async` it answers 202 with the study as it stands; a study that was cancelled or whose process ended goes on where it was when the same is posted again.")
            .TakesDocuments(("application/json", "StudyRequest")).Produces<StudyAnswer>().Produces<StudyAnswer>(202).ProducesProblems(400, 413, 415, 422, 429, 500, 503, 504);
        group.MapGet("", async (StudyDesk desk, CancellationToken cancellationToken) => TypedResults.Ok(await desk.List(cancellationToken))).WithName("listStudies").WithSummary("Lists studies, newest first").Produces<StudyList>();
        group.MapGet("{id}", Read).WithName("readStudy").WithSummary("The study, with what is known so far while it runs").Produces<StudyAnswer>().Produces(304).ProducesProblems(404, 500);
        group.MapDelete("{id}", Remove).WithName("removeStudy").WithSummary("Cancels a study that waits or runs, else removes it").Produces(204).ProducesProblems(404);
        group.MapGet("{id}/points.csv", Points).WithName("studyTable").WithSummary("Points of a sweep or sample as a table").ProducesBytes("text/csv").ProducesProblems(404, 500);
        group.MapGet("{id}/derating/{curve}.png", DrawPng).WithName("drawDerating").WithSummary("Plot of a derating curve").WithMetadata(QueryOf.Chart).ProducesBytes("image/png").ProducesProblems(400, 404, 500);
        group.MapGet("{id}/derating/{curve}.svg", DrawSvg).WithName("drawDeratingAsVectors").WithSummary("The same plot as vectors").WithMetadata(QueryOf.Chart).ProducesBytes("image/svg+xml").ProducesProblems(400, 404, 500);
        group.MapGet("{id}/derating/{curve}.csv", Curve).WithName("deratingTable").WithSummary("A derating curve as a table").ProducesBytes("text/csv").ProducesProblems(404, 500);
        foreach (string single in (string[])["impedance", "schedule", "correlation"])
        {
            string name = char.ToUpperInvariant(single[0]) + single[1..];
            group.MapGet("{id}/" + single + ".png", (string id, HttpRequest request, StudyDesk desk, CancellationToken token) => DrawSingle(id, single, request, desk, "image/png", token))
                .WithName("draw" + name).WithSummary(SingleChart.Summary(single)).WithMetadata(QueryOf.Chart).ProducesBytes("image/png").ProducesProblems(400, 404, 500);
            group.MapGet("{id}/" + single + ".svg", (string id, HttpRequest request, StudyDesk desk, CancellationToken token) => DrawSingle(id, single, request, desk, "image/svg+xml", token))
                .WithName("draw" + name + "AsVectors").WithSummary("The same plot as vectors").WithMetadata(QueryOf.Chart).ProducesBytes("image/svg+xml").ProducesProblems(400, 404, 500);
        }
    }

    private static string Address(string id) => $"/v1/studies/{id}";

    private static async Task<IResult> Ask(HttpContext context, BodyReader bodies, StudyDesk desk, CancellationToken cancellationToken)
    {
        var (json, refused) = await bodies.ReadJson(context.Request, cancellationToken);
        if (refused is not null) return refused;
        var preference = Preference.Of(context.Request);
        var (id, isDone, problem) = await desk.Ask(json, preference.Wait, cancellationToken);
        if (preference.Applied is not null) context.Response.Headers["Preference-Applied"] = preference.Applied;
        if (problem is not null) return problem;
        context.Response.Headers.Location = Address(id!);
        if (isDone && desk.Answer(id!) is { } answer) return Answer(answer);
        return await desk.Unfinished(id!, cancellationToken) is { } unfinished ? TypedResults.Accepted(Address(id!), unfinished) : desk.Answer(id!) is { } late ? Answer(late) : Missing(id!);
    }

    private static async Task<IResult> Read(string id, StudyDesk desk, CancellationToken cancellationToken)
    {
        if (desk.Answer(id) is { } answer) return Answer(answer);
        return await desk.Unfinished(id, cancellationToken) is { } unfinished ? TypedResults.Ok(unfinished) : desk.Answer(id) is { } late ? Answer(late) : Missing(id);
    }

    private static async Task<IResult> Remove(string id, StudyDesk desk, CancellationToken cancellationToken) => await desk.Remove(id, cancellationToken) ? TypedResults.NoContent() : Missing(id);

    private static async Task<IResult> Points(string id, StudyDesk desk, CancellationToken cancellationToken) =>
        await Find(id, desk, cancellationToken) is { } study ? Bytes(StudyTables.Points(study), "text/csv") : Missing(id);

    private static Task<IResult> DrawPng(string id, int curve, HttpRequest request, StudyDesk desk, CancellationToken cancellationToken) =>
        Draw(id, curve, request, desk, "image/png", (study, width) => DeratingChart.Of(study, curve).Png(width), cancellationToken);

    private static Task<IResult> DrawSvg(string id, int curve, HttpRequest request, StudyDesk desk, CancellationToken cancellationToken) =>
        Draw(id, curve, request, desk, "image/svg+xml", (study, width) => DeratingChart.Of(study, curve).Svg(width), cancellationToken);

    private static async Task<IResult> Curve(string id, int curve, StudyDesk desk, CancellationToken cancellationToken) =>
        await Find(id, desk, cancellationToken) is { } study && HasCurve(study, curve) ? Bytes(StudyTables.Curve(study.Derating!.Curves[curve]), "text/csv") : MissingCurve(id, curve);

    private static async Task<IResult> Draw(string id, int curve, HttpRequest request, StudyDesk desk, string contentType, Func<StudyAnswer, int, byte[]> draw, CancellationToken cancellationToken)
    {
        var reader = new QueryReader(request.Query);
        int width = reader.Whole("width", UsualWidth, 240, 4096);
        var faults = reader.Faults();
        if (faults.Count > 0) return Problem.Of(ProblemKind.InvalidQuery, faults);
        return await Find(id, desk, cancellationToken) is { } study && HasCurve(study, curve) ? Bytes(draw(study, width), contentType) : MissingCurve(id, curve);
    }

    private static async Task<IResult> DrawSingle(string id, string single, HttpRequest request, StudyDesk desk, string contentType, CancellationToken cancellationToken)
    {
        var reader = new QueryReader(request.Query);
        int width = reader.Whole("width", UsualWidth, 240, 4096);
        var faults = reader.Faults();
        if (faults.Count > 0) return Problem.Of(ProblemKind.InvalidQuery, faults);
        if (await Find(id, desk, cancellationToken) is not { } study || SingleChart.Of(study, single) is not { } chart) return Problem.NotFound($"There is no plot `{single}` of a study {id}.");
        return Bytes(contentType == "image/png" ? chart.Png(width) : chart.Svg(width), contentType);
    }

    private static bool HasCurve(StudyAnswer study, int curve) => curve >= 0 && curve < study.Derating?.Curves.Count;

    private static async Task<StudyAnswer?> Find(string id, StudyDesk desk, CancellationToken cancellationToken) =>
        desk.Answer(id) is { } json ? JsonSerializer.Deserialize(json, ServiceJson.Written.StudyAnswer) : await desk.Unfinished(id, cancellationToken);

    // A study that runs has more to tell the next time, so the client asks each time.
    private static Immutable Bytes(byte[] content, string contentType) => new(ContentId.Of(content), contentType, () => content) { AskEachTime = true };

    private static Immutable Answer(byte[] json) => Bytes(json, "application/json");

    private static Problem Missing(string id) => Problem.NotFound($"There is no study {id}.");

    private static Problem MissingCurve(string id, int curve) => Problem.NotFound($"There is no derating curve {curve} of a study {id}.");
}
