using System.Reflection;
using System.Text.Json.Nodes;
using HeatSpread.Service.Problems;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace HeatSpread.Service.OpenApi;

/// <summary>Lists every type of problem, for scripts that tell them apart, and shows one.</summary>
internal sealed class ProblemTypes : IDocumentFilter
{
    public void Apply(OpenApiDocument swaggerDoc, DocumentFilterContext context)
    {
        if (swaggerDoc.Components?.Schemas is not { } schemas || !schemas.TryGetValue(nameof(ProblemBody), out var found) || found is not OpenApiSchema schema || schema.Properties?["type"] is not OpenApiSchema type) return;
        var kinds = typeof(ProblemKind).GetFields(BindingFlags.Public | BindingFlags.Static).Where(f => f.FieldType == typeof(ProblemKind)).Select(f => (ProblemKind)f.GetValue(null)!).ToArray();
        type.Description = "Stable. " + string.Join(" ", kinds.Select(k => $"`{k.Type}` ({k.Status}): {k.Title}"));
        type.Enum = [.. kinds.Select(k => (JsonNode)JsonValue.Create(k.Type)!)];
        schema.Examples =
        [
            new JsonObject
            {
                ["type"] = ProblemKind.InvalidLayout.Type,
                ["title"] = ProblemKind.InvalidLayout.Title,
                ["status"] = ProblemKind.InvalidLayout.Status,
                ["detail"] = "One fault was found; it is listed in errors.",
                ["errors"] = new JsonArray(new JsonObject { ["pointer"] = "/stack/0/thicknessUm", ["detail"] = "`thicknessUm` must be above 0; found -35." }),
            },
        ];
    }
}

/// <summary>A sentence for each group of operations.</summary>
internal sealed class TagDescriptions : IDocumentFilter
{
    private static readonly Dictionary<string, string> Descriptions = new(StringComparer.Ordinal)
    {
        ["Layouts"] = "Boards as they are drawn.",
        ["Solutions"] = "Boards under conditions, solved: answers, maps, fields.",
        ["Comparisons"] = "What changed between solutions, and what the change did.",
        ["Studies"] = "Many cases of one board: sweeps, samples, derating, how much copper.",
        ["Dashboards"] = "Addresses that stay while a board is revised, and a view for frames.",
        ["Materials"] = "What boards are made of.",
        ["Access"] = "Keys and the audit log, for administrators.",
        ["Operations"] = "For those who run the service.",
    };

    public void Apply(OpenApiDocument swaggerDoc, DocumentFilterContext context)
    {
        var used = context.ApiDescriptions.SelectMany(a => a.ActionDescriptor.EndpointMetadata.OfType<Microsoft.AspNetCore.Http.Metadata.ITagsMetadata>()).SelectMany(t => t.Tags).Distinct().Order(StringComparer.Ordinal);
        swaggerDoc.Tags = used.Select(name => new OpenApiTag { Name = name, Description = Descriptions.GetValueOrDefault(name) }).ToHashSet();
    }
}
