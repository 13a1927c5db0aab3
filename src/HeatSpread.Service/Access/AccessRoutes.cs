using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using Microsoft.AspNetCore.Http.HttpResults;

namespace HeatSpread.Service.Access;

/// <summary>Keys and the audit log, for administrators.</summary>
internal static class AccessRoutes
{
    public static void MapAccess(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1").WithTags("Access").WithMetadata(new NeedsScope(Scope.Admin));
        group.MapGet("keys", List).WithName("listKeys").WithSummary("Lists the API keys, without their secrets").Produces<KeyList>();
        group.MapPost("keys", Make).WithName("makeKey").WithSummary("Makes an API key; its text is shown this once").TakesDocuments(("application/json", "KeyRequest")).Produces<MadeKey>(201).ProducesProblems(400, 413, 415, 422);
        group.MapDelete("keys/{id}", Remove).WithName("removeKey").WithSummary("Removes an API key; it opens nothing from then on").Produces(204).ProducesProblems(404);
        group.MapGet("audit", Audit).WithName("readAudit").WithSummary("Who changed what on a day, a JSON object a line").WithMetadata(QueryOf.Audit).Produces<string>(200, "application/jsonl").ProducesProblems(400);
    }

    private static Ok<KeyList> List(IKeyStore keys) => TypedResults.Ok(new KeyList([.. keys.All.Select(KeyAnswer.Of)]));

    private static async Task<IResult> Make(HttpRequest request, BodyReader bodies, IKeyStore keys, TimeProvider clock, CancellationToken cancellationToken)
    {
        var (json, refused) = await bodies.ReadJson(request, cancellationToken);
        if (refused is not null) return refused;
        var parsed = PostedJson.Parse(json);
        if (parsed.Value is null) return new Problem(ProblemKind.MalformedJson, parsed.Faults[0].Detail);
        using var document = parsed.Value;
        var reading = KeyRequest.Read(document.RootElement, clock.GetUtcNow());
        if (reading.Value is not { } asked) return Problem.Of(ProblemKind.InvalidKeyRequest, reading.Faults);
        var (key, text) = ApiKey.Make(asked.Name, asked.Tenant, asked.Scopes, clock.GetUtcNow(), asked.Expires);
        keys.Add(key);
        request.HttpContext.Response.Headers.CacheControl = "no-store";
        return TypedResults.Created($"/v1/keys/{key.Id}", new MadeKey(text, KeyAnswer.Of(key)));
    }

    private static IResult Remove(string id, IKeyStore keys) => keys.Remove(id) ? TypedResults.NoContent() : Problem.NotFound($"There is no key {id}.");

    private static IResult Audit(HttpRequest request, IAuditLog log, TimeProvider clock)
    {
        var reader = new QueryReader(request.Query);
        var day = DateOnly.FromDateTime(clock.GetUtcNow().UtcDateTime);
        if (reader.Text("day") is { } text && !DateOnly.TryParseExact(text, "yyyy-MM-dd", CultureInfo.InvariantCulture, DateTimeStyles.None, out day)) reader.Fault("day", "must be a date such as 2026-01-31", text);
        var faults = reader.Faults();
        return faults.Count > 0 ? Problem.Of(ProblemKind.InvalidQuery, faults) : TypedResults.Bytes(log.Read(day), "application/jsonl");
    }
}

internal sealed record KeyList(IReadOnlyList<KeyAnswer> Keys);

/// <param name="Key">The key itself. It is not kept: write it down.</param>
/// <param name="Details">What is kept of it.</param>
internal sealed record MadeKey(string Key, KeyAnswer Details);

/// <summary>What is shown of a key.</summary>
/// <param name="Id">Its public part.</param>
/// <param name="Name">What or who uses it.</param>
/// <param name="Tenant">Whose workspace it opens.</param>
/// <param name="Scopes">Of <c>read</c>, <c>write</c>, <c>admin</c>.</param>
/// <param name="Created">When it was made.</param>
/// <param name="Expires">Null: never.</param>
internal sealed record KeyAnswer(string Id, string Name, string Tenant, IReadOnlyList<string> Scopes, DateTimeOffset Created, DateTimeOffset? Expires)
{
    public static KeyAnswer Of(ApiKey key) => new(key.Id, key.Name, key.Tenant, key.Scopes, key.Created, key.Expires);
}
