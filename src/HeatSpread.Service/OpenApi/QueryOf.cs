using System.Text.Json.Nodes;
using HeatSpread.Rendering;
using Microsoft.OpenApi;

namespace HeatSpread.Service.OpenApi;

/// <summary>The query keys of a route that reads them strictly itself.</summary>
internal sealed record QueryOf(IReadOnlyList<OpenApiParameter> Parameters)
{
    private static readonly OpenApiParameter Width = Whole("width", 64, 4096, 800, "Pixels.");
    private static readonly OpenApiParameter Isotherms = Switch("isotherms", false, "Lines of equal temperature.");
    private static readonly OpenApiParameter Flow = Switch("flow", false, "Lines along which heat flows in the plane.");

    private static readonly OpenApiParameter CooledPart = Text("part", "Id of the part that is to be cooled.", "U1", isRequired: true);

    /// <summary>What every map takes beside the ends of its scale.</summary>
    private static readonly OpenApiParameter[] Drawing =
    [
        Width,
        new() { Name = "palette", In = ParameterLocation.Query, Description = "Name of a palette.", Schema = new OpenApiSchema { Type = JsonSchemaType.String, Enum = [.. Palettes.Names.Select(name => (JsonNode)JsonValue.Create(name)!)] } },
        Switch("outlines", true, "Copper and part outlines."),
        Switch("legend", true, "Colour scale with its units."),
    ];

    public static QueryOf Map { get; } = new([.. Scale("°C", "the lowest temperature shown", "the highest temperature shown"), .. Drawing, Isotherms, Flow]);

    public static QueryOf CurrentMap { get; } = new([.. Scale("A/mm²", "0", "the highest density shown"), .. Drawing]);

    public static QueryOf BenefitMap { get; } = new([CooledPart, .. Scale("K/mm²", "0", "what 98 % of the places with a benefit stay below"), .. Drawing]);

    public static QueryOf DifferenceMap { get; } = new([
        .. Scale("K", "the other end's opposite, for the scale is symmetrical about 0", "the comparison's `scaleKelvin`, the same for all its maps"),
        .. Drawing,
        Switch("isotherms", false, "Lines of equal difference."),
        Switch("flow", false, "Not drawn on a difference."),
    ]);

    public static QueryOf Embed { get; } = new([Text("layer", "Name of the layer; default: the uppermost.", "L1"), .. Map.Parameters.Where(parameter => parameter != Width)]);

    public static QueryOf Benefit { get; } = new([CooledPart]);

    public static QueryOf Rise { get; } = new([Text("part", "Id of the part that the watt is put into.", "U1", isRequired: true)]);

    public static QueryOf Owners { get; } = new([
        Text("box", "minX,minY,maxX,maxY of the window, mm; default: the outline's bounding box.", "0,0,20,15"),
        Whole("columns", 1, 4096, 1000, "Cells along x. Along y as many as keep them square, at most 4096."),
    ]);

    public static QueryOf CameraField { get; } = new([Whole("columns", 1, 4096, 800, "Places along x. Along y as many as keep them square.")]);

    public static QueryOf Influence { get; } = new([Text("parts", "Ids of parts with commas between; default: all.", "U1,L1")]);

    public static QueryOf Report { get; } = new([
        new() { Name = "paper", In = ParameterLocation.Query, Description = "Size of its pages.", Schema = new OpenApiSchema { Type = JsonSchemaType.String, Enum = ["a4", "letter"], Default = "a4" } },
        Text("comparison", "Id of a comparison that has this solution among its candidates: the report then tells what changed against its baseline, with difference maps and ledger.", "daaf0d222e191f77d426c1450f3912a3"),
    ]);

    public static QueryOf Copper { get; } = new([
        Width,
        new() { Name = "pitchMm", In = ParameterLocation.Query, Description = "Size of the cells shown, mm; default 0.25, finer on a small board.", Schema = new OpenApiSchema { Type = JsonSchemaType.Number, ExclusiveMinimum = "0" } },
    ]);

    public static QueryOf TakeLayout { get; } = new([Switch("preview", false, "Only recognise: nothing is stored, and the answer holds the layout as a document.")]);

    public static QueryOf LayoutList { get; } = new([Text("name", "Only layouts of this name.", "Field gateway supply A")]);

    public static QueryOf SolutionList { get; } = new([
        Text("layout", "Only solutions of the layout of this id.", "69b0e96af542903852b48d5e0a41e6c3"),
        Text("name", "Only solutions of layouts of this name.", "Field gateway supply A"),
    ]);

    public static QueryOf Chart { get; } = new([Whole("width", 240, 4096, 900, "Pixels.")]);

    public static QueryOf Audit { get; } = new([Text("day", "A date (UTC); default: today.", "2026-01-31")]);

    private static OpenApiParameter[] Scale(string unit, string usualLow, string usualHigh) =>
    [
        End("min", unit, $"Lower end of the colour scale, {unit}; default: {usualLow}."),
        End("max", unit, $"Upper end of the colour scale, {unit}; default: {usualHigh}."),
    ];

    private static OpenApiParameter End(string name, string unit, string description) => new()
    {
        Name = name,
        In = ParameterLocation.Query,
        Description = description,
        Schema = new OpenApiSchema { Type = JsonSchemaType.Number, Extensions = new Dictionary<string, IOpenApiExtension> { ["x-unit"] = new JsonNodeExtension(JsonValue.Create(unit)) } },
    };

    private static OpenApiParameter Whole(string name, int least, int most, int usual, string description) => new()
    {
        Name = name,
        In = ParameterLocation.Query,
        Description = description,
        Schema = new OpenApiSchema { Type = JsonSchemaType.Integer, Minimum = $"{least}", Maximum = $"{most}", Default = JsonValue.Create(usual) },
    };

    private static OpenApiParameter Switch(string name, bool usual, string description) =>
        new() { Name = name, In = ParameterLocation.Query, Description = description, Schema = new OpenApiSchema { Type = JsonSchemaType.Boolean, Default = JsonValue.Create(usual) } };

    private static OpenApiParameter Text(string name, string description, string example, bool isRequired = false) =>
        new() { Name = name, In = ParameterLocation.Query, Required = isRequired, Description = description, Example = JsonValue.Create(example), Schema = new OpenApiSchema { Type = JsonSchemaType.String } };
}
