using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Dashboards;

/// <summary>
/// Addresses that stay while a board is revised: whatever stands below <c>/v1/solutions/{id}</c> stands below <c>/v1/boards/{name}/latest</c> too, of the newest solution of
/// a layout of that name. The answer sends the client on, so pictures keep their one address in caches.
/// </summary>
internal static class LatestRoutes
{
    public static void MapLatest(this IEndpointRouteBuilder routes)
    {
        var group = routes.MapGroup("/v1/boards/{name}/latest").WithTags("Dashboards");
        group.MapGet("", (string name, HttpRequest request, SolutionStore store) => SendOn(name, SolutionRoutes.Address, request, store))
            .WithName("latestSolution").WithSummary("Sends on to the newest solution of a board").Produces(307).ProducesProblems(404);
        group.MapGet("layers/{layer}.{format}", (string name, string layer, string format, HttpRequest request, SolutionStore store) =>
                SendOn(name, id => $"{SolutionRoutes.Address(id)}/layers/{LayerName.Segment(LayerName.Decoded(layer))}.{Uri.EscapeDataString(format)}", request, store))
            .WithName("latestLayer").WithSummary("Sends on to a layer of the newest solution of a board: png, npy or csv").Produces(307).ProducesProblems(404);
        group.MapGet("views/{side}.png", (string name, string side, HttpRequest request, SolutionStore store) => SendOn(name, id => $"{SolutionRoutes.Address(id)}/views/{Uri.EscapeDataString(side)}.png", request, store))
            .WithName("latestView").WithSummary("Sends on to a camera view, top or bottom, of the newest solution of a board").Produces(307).ProducesProblems(404);
        routes.MapGet("/embed/boards/{name}/latest", (string name, HttpRequest request, SolutionStore store) => SendOn(name, EmbedRoutes.Address, request, store))
            .WithTags("Dashboards").WithName("embedLatest").WithSummary("Sends on to the embeddable view of the newest solution of a board").Produces(307).ProducesProblems(404);
    }

    private static IResult SendOn(string name, Func<string, string> address, HttpRequest request, SolutionStore store)
    {
        if (store.List().FirstOrDefault(s => s.Name == name) is not { } newest) return Problem.NotFound($"There is no solution of a board named {name}.");
        request.HttpContext.Response.Headers.CacheControl = "no-cache";
        return TypedResults.Redirect(address(newest.Id) + request.QueryString, permanent: false, preserveMethod: true);
    }
}
