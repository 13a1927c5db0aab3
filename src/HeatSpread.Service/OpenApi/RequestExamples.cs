using System.Text.Json.Nodes;

namespace HeatSpread.Service.OpenApi;

/// <summary>An example of each document that is posted: the toy board of the warm-up, so it is one that works.</summary>
internal static class RequestExamples
{
    /// <param name="schema">Name of the document's schema.</param>
    /// <returns>Null where there is none.</returns>
    public static JsonNode? Of(string schema)
    {
        using var stream = typeof(RequestExamples).Assembly.GetManifestResourceStream("warm-up.json")!;
        var toy = JsonNode.Parse(stream)!;
        return schema switch
        {
            "Layout" => toy["layout"]!.DeepClone(),
            "SolutionRequest" => new JsonObject { ["layout"] = toy["layout"]!.DeepClone(), ["conditions"] = toy["conditions"]!.DeepClone(), ["grid"] = new JsonObject { ["pitchMm"] = 0.5 } },
            "TrialRequest" => new JsonObject { ["conditions"] = toy["conditions"]!.DeepClone() },
            "ComparisonRequest" => new JsonObject { ["baseline"] = "daaf0d222e191f77d426c1450f3912a3", ["candidates"] = new JsonArray("7b0ea7c40c698ea907e21cbed8a97ff0") },
            "StudyRequest" => new JsonObject
            {
                ["layout"] = toy["layout"]!.DeepClone(),
                ["conditions"] = toy["conditions"]!.DeepClone(),
                ["grid"] = new JsonObject { ["pitchMm"] = 0.5 },
                ["axes"] = new JsonArray(new JsonObject { ["quantity"] = "ambientCelsius", ["from"] = 25, ["to"] = 85, ["count"] = 4 }),
            },
            "KeyRequest" => new JsonObject { ["name"] = "build server", ["tenant"] = "power-team", ["scopes"] = new JsonArray("read", "write"), ["expires"] = "2030-01-31T00:00:00Z" },
            _ => null,
        };
    }
}
