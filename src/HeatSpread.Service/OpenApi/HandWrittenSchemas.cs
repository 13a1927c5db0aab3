using System.Text.Json.Nodes;
using Microsoft.OpenApi;
using Microsoft.OpenApi.Reader;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace HeatSpread.Service.OpenApi;

/// <summary>
/// Adds the schemas of the documents that are posted. They are read by readers that list every fault, not by a serializer, so no type has
/// their shape; <c>documents.json</c> is written by hand.
/// </summary>
internal sealed class HandWrittenSchemas : IDocumentFilter
{
    public void Apply(OpenApiDocument swaggerDoc, DocumentFilterContext context)
    {
        using var reader = new StreamReader(typeof(HandWrittenSchemas).Assembly.GetManifestResourceStream("documents.json")!);
        var read = OpenApiDocument.Parse(reader.ReadToEnd(), OpenApiConstants.Json, new OpenApiReaderSettings());
        if (read.Document?.Components?.Schemas is not { } schemas) throw new InvalidDataException("documents.json holds no schemas.");
        foreach (var (name, schema) in schemas) swaggerDoc.AddComponent(name, schema);
    }
}

/// <summary>Refers to those schemas from the routes that say so.</summary>
internal sealed class HandWrittenBodies : IOperationFilter
{
    public void Apply(OpenApiOperation operation, OperationFilterContext context)
    {
        var metadata = context.ApiDescription.ActionDescriptor.EndpointMetadata;
        foreach (var body in metadata.OfType<DocumentBody>())
        {
            operation.RequestBody = new OpenApiRequestBody { Required = true, Content = body.Bodies.ToDictionary(b => b.MediaType, b => (IOpenApiMediaType)Content(b.Schema, context, RequestExamples.Of(b.Schema))) };
        }
        foreach (var answer in metadata.OfType<DocumentAnswer>())
        {
            (operation.Responses ??= [])["200"] = new OpenApiResponse { Description = "OK", Content = new Dictionary<string, IOpenApiMediaType> { ["application/json"] = Content(answer.Schema, context) } };
        }
        foreach (var either in metadata.OfType<EitherAnswer>())
        {
            IOpenApiSchema Schema(Type type) => context.SchemaGenerator.GenerateSchema(type, context.SchemaRepository);
            (operation.Responses ??= [])["200"] = new OpenApiResponse
            {
                Description = "OK",
                Content = new Dictionary<string, IOpenApiMediaType> { ["application/json"] = new OpenApiMediaType { Schema = new OpenApiSchema { OneOf = [Schema(either.One), Schema(either.Other)] } } },
            };
        }
        foreach (var query in metadata.OfType<QueryOf>())
        {
            foreach (var parameter in query.Parameters) (operation.Parameters ??= []).Add(parameter);
        }
    }

    private static OpenApiMediaType Content(string schema, OperationFilterContext context, JsonNode? example = null) => new OpenApiMediaType { Example = example, Schema = new OpenApiSchemaReference(schema, context.Document) };
}
