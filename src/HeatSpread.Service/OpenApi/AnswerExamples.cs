using System.Text.Json.Nodes;
using Microsoft.OpenApi;
using Swashbuckle.AspNetCore.SwaggerGen;

namespace HeatSpread.Service.OpenApi;

/// <summary>
/// An example of each JSON answer: what this service answered about the toy board of <see cref="RequestExamples"/>, long lists cut to two. <c>answers.json</c> holds them by the name of the answer's schema;
/// a test asks again and compares the keys.
/// </summary>
internal sealed class AnswerExamples : IOperationFilter
{
    private static readonly JsonObject All = Read();

    public void Apply(OpenApiOperation operation, OperationFilterContext context)
    {
        foreach (var (status, answer) in operation.Responses ?? [])
        {
            if (status[0] != '2' || answer.Content is not { } contents || !contents.TryGetValue("application/json", out var found) || found is not OpenApiMediaType content) continue;
            var shown = content.Schema is OpenApiSchema { OneOf: [var first, ..] } ? first : content.Schema;
            if (shown is OpenApiSchemaReference { Reference.Id: { } name } && All[name] is { } example) content.Example = example.DeepClone();
        }
    }

    private static JsonObject Read()
    {
        using var stream = typeof(AnswerExamples).Assembly.GetManifestResourceStream("answers.json")!;
        return JsonNode.Parse(stream)!.AsObject();
    }
}
