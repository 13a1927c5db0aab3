using HeatSpread.Service.Access;
using HeatSpread.Service.Problems;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace HeatSpread.Service.OpenApi;

/// <summary>Says of each operation what key it needs, where keys are required, and how it answers without.</summary>
internal sealed class KeyRequirement : IOperationFilter
{
    public const string Bearer = "bearerKey";
    public const string Basic = "basicKey";

    public void Apply(OpenApiOperation operation, OperationFilterContext context)
    {
        string path = "/" + context.ApiDescription.RelativePath;
        if (AccessCheck.IsOpenToAll(path))
        {
            operation.Security = [];
            return;
        }
        operation.Security = [Requirement(Bearer, context), Requirement(Basic, context), new OpenApiSecurityRequirement()];
        var needed = AccessCheck.Needed(context.ApiDescription.ActionDescriptor.EndpointMetadata.OfType<NeedsScope>().LastOrDefault(), context.ApiDescription.HttpMethod ?? "GET");
        Add(operation, context, 401, "No valid API key came with the request.");
        Add(operation, context, 403, $"The key has not the scope {Scopes.NamesOf(needed)[0]}.");
    }

    private static OpenApiSecurityRequirement Requirement(string scheme, OperationFilterContext context) => new() { [new OpenApiSecuritySchemeReference(scheme, context.Document)] = [] };

    private static void Add(OpenApiOperation operation, OperationFilterContext context, int status, string description) =>
        (operation.Responses ??= [])[status.ToString(System.Globalization.CultureInfo.InvariantCulture)] = new OpenApiResponse
        {
            Description = description,
            Content = new Dictionary<string, IOpenApiMediaType> { ["application/problem+json"] = new OpenApiMediaType { Schema = context.SchemaGenerator.GenerateSchema(typeof(ProblemBody), context.SchemaRepository) } },
        };
}
