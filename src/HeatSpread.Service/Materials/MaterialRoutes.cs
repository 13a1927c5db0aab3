using HeatSpread.Boards;
using Microsoft.AspNetCore.Http.HttpResults;

namespace HeatSpread.Service.Materials;

/// <summary>The built-in materials.</summary>
internal static class MaterialRoutes
{
    public static void MapMaterials(this IEndpointRouteBuilder routes) =>
        routes.MapGet("/v1/materials", List).WithTags("Materials").WithName("listMaterials").WithSummary("The built-in materials, W/(m·K)").Produces<MaterialList>();

    private static Ok<MaterialList> List() => TypedResults.Ok(new MaterialList([.. Boards.Materials.BuiltIn.Select(Answer)]));

    private static MaterialAnswer Answer(Material material) => new(
        material.Name,
        new(material.Conductivity.InPlane, material.Conductivity.Through),
        material.Range,
        [material.FromCelsius, material.ToCelsius],
        material.Source,
        material.Curve?.Points.Select(point => new CurvePointAnswer(point.Celsius, point.InPlane, point.Through)).ToArray(),
        material.CurveSource,
        material.JoulesPerCubicMeterKelvin,
        material.HeatCapacitySource);
}

internal sealed record MaterialList(IReadOnlyList<MaterialAnswer> Materials);

/// <param name="Name">As used in layouts.</param>
/// <param name="Conductivity">W/(m·K).</param>
/// <param name="Range">The spread found in practice.</param>
/// <param name="RangeCelsius">Lowest and highest temperature at which the value holds.</param>
/// <param name="Source">Where the value comes from.</param>
/// <param name="Curve">Share of the conductivity by temperature, on straight lines and even beyond the ends; null: it does not depend on temperature.</param>
/// <param name="CurveSource">Where the curve comes from.</param>
/// <param name="JoulesPerM3K">Heat capacity by volume, J/(m³·K); for transients.</param>
/// <param name="HeatCapacitySource">Where that comes from.</param>
internal sealed record MaterialAnswer(
    string Name, ConductivityAnswer Conductivity, string Range, double[] RangeCelsius, string Source, IReadOnlyList<CurvePointAnswer>? Curve, string? CurveSource, double JoulesPerM3K, string HeatCapacitySource);

internal sealed record CurvePointAnswer(double Celsius, double InPlaneShare, double ThroughShare);

internal sealed record ConductivityAnswer(double InPlane, double Through);
