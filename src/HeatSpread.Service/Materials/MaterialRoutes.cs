using Microsoft.AspNetCore.Http.HttpResults;

namespace HeatSpread.Service.Materials;

/// <summary>The built-in materials.</summary>
internal static class MaterialRoutes
{
    public static void MapMaterials(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/v1/materials", List).WithTags("Materials").WithName("listMaterials").WithSummary("The built-in materials, W/(m·K)").Produces<MaterialList>();

    private static Ok<MaterialList> List() => TypedResults.Ok(new MaterialList(
        [.. Boards.Materials.BuiltIn.Select(m => new MaterialAnswer(m.Name, new(m.Conductivity.InPlane, m.Conductivity.Through), m.Range, m.Source))]));
}

internal sealed record MaterialList(IReadOnlyList<MaterialAnswer> Materials);

/// <param name="Name">As used in layouts.</param>
/// <param name="Conductivity">W/(m·K).</param>
/// <param name="Range">The spread found in practice.</param>
/// <param name="Source">Where the value comes from.</param>
internal sealed record MaterialAnswer(string Name, ConductivityAnswer Conductivity, string Range, string Source);

internal sealed record ConductivityAnswer(double InPlane, double Through);
