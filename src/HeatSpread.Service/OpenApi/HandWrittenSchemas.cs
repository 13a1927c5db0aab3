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

/// <summary>The query keys of a route that reads them strictly itself.</summary>
internal sealed record QueryOf(IReadOnlyList<OpenApiParameter> Parameters)
{
    public static QueryOf Map { get; } = new([
        Key("width", JsonSchemaType.Integer, "Pixels, 64 to 4096; default 800."),
        Key("min", JsonSchemaType.Number, "Lower end of the colour scale, °C; default: the lowest temperature shown."),
        Key("max", JsonSchemaType.Number, "Upper end of the colour scale, °C; default: the highest temperature shown."),
        Key("palette", JsonSchemaType.String, "Name of a palette."),
        Key("outlines", JsonSchemaType.Boolean, "Copper and part outlines."),
        Key("isotherms", JsonSchemaType.Boolean, "Lines of equal temperature."),
        Key("flow", JsonSchemaType.Boolean, "Lines along which heat flows in the plane."),
        Key("legend", JsonSchemaType.Boolean, "Colour scale with its units."),
    ]);

    public static QueryOf CurrentMap { get; } = new([
        Key("width", JsonSchemaType.Integer, "Pixels, 64 to 4096; default 800."),
        Key("min", JsonSchemaType.Number, "Lower end of the colour scale, A/mm²; default: 0."),
        Key("max", JsonSchemaType.Number, "Upper end of the colour scale, A/mm²; default: the highest density shown."),
        Key("palette", JsonSchemaType.String, "Name of a palette."),
        Key("outlines", JsonSchemaType.Boolean, "Copper and part outlines."),
        Key("legend", JsonSchemaType.Boolean, "Colour scale with its units."),
    ]);

    public static QueryOf BenefitMap { get; } = new([
        Key("part", JsonSchemaType.String, "Id of the part that is to be cooled; required."),
        Key("width", JsonSchemaType.Integer, "Pixels, 64 to 4096; default 800."),
        Key("min", JsonSchemaType.Number, "Lower end of the colour scale, K/mm²; default: 0."),
        Key("max", JsonSchemaType.Number, "Upper end of the colour scale, K/mm²; default: what 98 % of the places with a benefit stay below."),
        Key("palette", JsonSchemaType.String, "Name of a palette."),
        Key("outlines", JsonSchemaType.Boolean, "Copper and part outlines."),
        Key("legend", JsonSchemaType.Boolean, "Colour scale with its units."),
    ]);

    public static QueryOf Benefit { get; } = new([Key("part", JsonSchemaType.String, "Id of the part that is to be cooled; required.")]);

    public static QueryOf Rise { get; } = new([Key("part", JsonSchemaType.String, "Id of the part that the watt is put into; required.")]);

    public static QueryOf Owners { get; } = new([
        Key("box", JsonSchemaType.String, "minX,minY,maxX,maxY of the window, mm; default: the outline's bounding box."),
        Key("columns", JsonSchemaType.Integer, "Cells along x, 1 to 4096; default 1000. Along y as many as keep them square, at most 4096."),
    ]);

    public static QueryOf CameraField { get; } = new([Key("columns", JsonSchemaType.Integer, "Places along x, 1 to 4096; default 800. Along y as many as keep them square.")]);

    public static QueryOf Influence { get; } = new([Key("parts", JsonSchemaType.String, "Ids of parts with commas between; default: all.")]);

    public static QueryOf DifferenceMap { get; } = new([
        Key("width", JsonSchemaType.Integer, "Pixels, 64 to 4096; default 800."),
        Key("min", JsonSchemaType.Number, "Lower end of the colour scale, K; the scale is symmetrical about 0."),
        Key("max", JsonSchemaType.Number, "Upper end of the colour scale, K; default: the comparison's `scaleKelvin`, the same for all its maps."),
        Key("palette", JsonSchemaType.String, "Name of a palette."),
        Key("outlines", JsonSchemaType.Boolean, "Copper and part outlines of the candidate."),
        Key("isotherms", JsonSchemaType.Boolean, "Lines of equal difference."),
        Key("flow", JsonSchemaType.Boolean, "Not drawn on a difference."),
        Key("legend", JsonSchemaType.Boolean, "Colour scale with its units."),
    ]);

    public static QueryOf Embed { get; } = new([Key("layer", JsonSchemaType.String, "Name of the layer; default: the uppermost."), .. Map.Parameters.Where(p => p.Name != "width")]);

    public static QueryOf Report { get; } = new([
        Key("paper", JsonSchemaType.String, "`a4` or `letter`; default: `a4`."),
        Key("comparison", JsonSchemaType.String, "Id of a comparison that has this solution among its candidates: the report then tells what changed against its baseline, with difference maps and ledger."),
    ]);

    public static QueryOf Copper { get; } = new([
        Key("width", JsonSchemaType.Integer, "Pixels, 64 to 4096; default 800."),
        Key("pitchMm", JsonSchemaType.Number, "Size of the cells shown; default 0.25 mm, finer on a small board."),
    ]);

    public static QueryOf TakeLayout { get; } = new([Key("preview", JsonSchemaType.Boolean, "Only recognise: nothing is stored, and the answer holds the layout as a document.")]);

    public static QueryOf LayoutList { get; } = new([Key("name", JsonSchemaType.String, "Only layouts of this name.")]);

    public static QueryOf SolutionList { get; } = new([
        Key("layout", JsonSchemaType.String, "Only solutions of the layout of this id."),
        Key("name", JsonSchemaType.String, "Only solutions of layouts of this name."),
    ]);

    public static QueryOf Audit { get; } = new([Key("day", JsonSchemaType.String, "A date (UTC) such as 2026-01-31; default: today.")]);

    private static OpenApiParameter Key(string name, JsonSchemaType type, string description) =>
        new() { Name = name, In = ParameterLocation.Query, Description = description, Schema = new OpenApiSchema { Type = type } };
}
