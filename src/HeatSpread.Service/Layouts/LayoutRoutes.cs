using HeatSpread.Rendering;
using HeatSpread.Service.OpenApi;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Thermal;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Layouts;

/// <summary>Layouts: take, list, read back, remove, and the picture of their copper.</summary>
internal static class LayoutRoutes
{
    public static void MapLayouts(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/layouts").WithTags("Layouts");
        group.MapPost("", Take).WithName("takeLayout").WithSummary("Takes a layout, or fabrication files and their description")
            .WithDescription("With `preview=true` the board is recognised and returned, with the layout as a document, and nothing is stored.")
            .Produces<LayoutReceipt>(201).ProducesEither<LayoutReceipt, LayoutPreview>().WithMetadata(QueryOf.TakeLayout).ProducesProblems(400, 413, 415, 422, 429)
            .TakesDocuments(("application/json", "Layout"), ("multipart/form-data", "FabricationUpload")).DisableAntiforgery();
        group.MapPost("{id}/edits", Edit).WithName("editLayout").WithSummary("Makes edits in a layout: a new layout, the old one stays")
            .Produces<LayoutReceipt>(201).Produces<LayoutReceipt>().ProducesProblems(400, 404, 413, 415, 422, 429).TakesDocuments(("application/json", "EditRequest"));
        group.MapGet("", List).WithName("listLayouts").WithSummary("Lists layouts, newest first").Produces<LayoutList>().WithMetadata(QueryOf.LayoutList).ProducesProblems(400);
        group.MapGet("{id}", ReadBack).WithName("readLayout").WithSummary("Reads a layout back, as canonical JSON").ProducesDocument("Layout").ProducesProblems(404);
        group.MapDelete("{id}", Remove).WithName("removeLayout").WithSummary("Removes a layout; solutions made of it stay").Produces(204).ProducesProblems(404);
        group.MapGet("{id}/layers/{layer}.png", DrawCopper).WithName("drawCopper").WithSummary("The copper of one layer as the solver sees it")
            .WithMetadata(QueryOf.Copper).ProducesBytes("image/png").ProducesProblems(400, 404, 429);
    }

    private static async Task<IResult> Take(HttpRequest request, BodyReader bodies, ReadingGate gate, LayoutStore store, IOptions<ServiceSettings> settings, CancellationToken cancellationToken)
    {
        var query = new QueryReader(request.Query);
        bool isPreview = query.Switch("preview", absent: false);
        if (query.Faults() is { Count: > 0 } faults) return Problem.Of(ProblemKind.InvalidQuery, faults);
        var (read, refused) = await ReadBody(request, bodies, settings.Value, cancellationToken);
        if (read is null) return refused!;
        using var place = await gate.Enter(cancellationToken);
        if (place is null) return ReadingGate.Busy;
        var intake = read(cancellationToken);
        if (isPreview && intake.Layout is not null) return TypedResults.Ok(LayoutPreview.Of(intake, cancellationToken));
        return Keep(intake, request, store, cancellationToken);
    }

    private static async Task<IResult> Edit(string id, HttpRequest request, BodyReader bodies, ReadingGate gate, LayoutStore store, IOptions<ServiceSettings> settings, CancellationToken cancellationToken)
    {
        if (store.Open(id) is not { } before) return Missing(id);
        if (!request.HasJsonContentType()) return BodyReader.MediaType(request, "application/json");
        var (json, refused) = await bodies.ReadJson(request, cancellationToken);
        if (refused is not null) return refused;
        using var place = await gate.Enter(cancellationToken);
        return place is null ? ReadingGate.Busy : Keep(LayoutIntake.Edit(before, json, settings.Value.Layout), request, store, cancellationToken);
    }

    private static IResult Keep(IntakeResult intake, HttpRequest request, LayoutStore store, CancellationToken cancellationToken)
    {
        if (intake.Layout is not { } layout) return intake.Problem!;
        var (summary, isNew) = store.Take(layout, intake.DrilledHoles, intake.Warnings, cancellationToken);
        var receipt = new LayoutReceipt(layout.Id, intake.Warnings, summary);
        string address = Address(layout.Id);
        if (isNew) return TypedResults.Created(address, receipt);
        request.HttpContext.Response.Headers.Location = address;
        return TypedResults.Ok(receipt);
    }

    /// <summary>The body, and how it is to be read; or the problem.</summary>
    private static async Task<(Func<CancellationToken, IntakeResult>? Read, Problem? Problem)> ReadBody(HttpRequest request, BodyReader bodies, ServiceSettings settings, CancellationToken cancellationToken)
    {
        if (request.HasFormContentType && request.ContentType!.StartsWith("multipart/", StringComparison.OrdinalIgnoreCase))
        {
            var (description, files, refused) = await bodies.ReadForm(request, cancellationToken);
            return refused is null ? (token => LayoutIntake.Import(description, files, settings.Layout, settings.Import, token), null) : (null, refused);
        }
        if (!request.HasJsonContentType()) return (null, BodyReader.MediaType(request, "application/json or multipart/form-data"));
        var (json, problem) = await bodies.ReadJson(request, cancellationToken);
        return problem is null ? (_ => LayoutIntake.Read(json, settings.Layout), null) : (null, problem);
    }

    private static IResult List(HttpRequest request, LayoutStore store)
    {
        var reader = new QueryReader(request.Query);
        string? name = reader.Text("name");
        var faults = reader.Faults();
        return faults.Count > 0 ? Problem.Of(ProblemKind.InvalidQuery, faults) : TypedResults.Ok(new LayoutList(store.List(name)));
    }

    private static IResult ReadBack(string id, HttpContext context, LayoutStore store) =>
        store.Json(id) is { } json ? new Immutable(id, "application/json", () => json) : Missing(id);

    private static IResult Remove(string id, LayoutStore store) => store.Remove(id) ? TypedResults.NoContent() : Missing(id);

    private static IResult DrawCopper(string id, string layer, HttpRequest request, LayoutStore store, Pictures pictures, IOptions<ServiceSettings> settings, CancellationToken cancellationToken)
    {
        var query = CopperQuery.Read(request.Query);
        if (query.Value is null) return Problem.Of(ProblemKind.InvalidQuery, query.Faults);
        if (store.Open(id) is not { } layout) return Missing(id);
        int index = LayerName.Find(layout.Board, layer);
        if (index < 0) return LayerName.Missing(layout.Board, layer);
        string tag = $"{id}-{index}-{query.Value.Tag}-{Builds.Drawing}";
        return new Immutable(tag, "image/png", () => pictures.Draw(tag, Draw, cancellationToken));

        byte[] Draw()
        {
            var grid = query.Value.Grid(layout.Board, settings.Value.MostUnknowns.Count);
            return CopperMap.Draw(layout.Board, CopperRaster.Build(layout.Board, grid, CancellationToken.None), index, query.Value.Width); // others may wait for the same picture
        }
    }

    public static string Address(string id) => $"/v1/layouts/{id}";

    private static Problem Missing(string id) => Problem.NotFound($"There is no layout {id}.");
}
