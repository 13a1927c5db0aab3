using System.Text.Json;

namespace HeatSpread.Service.Tests;

/// <summary>The examples of the API description are what the service answers: the posted ones are posted, and the answers have the keys of the shown ones.</summary>
public sealed class ApiExampleTests(SharedService service)
{
    [Fact]
    public async Task Every_JSON_answer_has_an_example_and_the_service_answers_so()
    {
        var api = await service.Client.Get("/openapi/v1.json").Success();
        var operations = api.GetProperty("paths").EnumerateObject().SelectMany(path => path.Value.EnumerateObject()).Select(operation => operation.Value).Where(operation => operation.ValueKind == JsonValueKind.Object && operation.TryGetProperty("operationId", out _)).ToDictionary(operation => operation.GetProperty("operationId").GetString()!);
        string[] without = [.. operations.Where(operation => Answers(operation.Value).Any(answer => !answer.TryGetProperty("example", out _))).Select(operation => operation.Key)];
        Assert.Empty(without);

        var solution = await Ask("askSolution", "/v1/solutions");
        string id = solution.GetProperty("id").GetString()!;
        await Ask("takeLayout", "/v1/layouts");
        await Ask("askStudy", "/v1/studies");
        await Ask("tryConditions", $"/v1/solutions/{id}/trials");
        foreach (var (name, address) in ((string, string)[])[("listSolutions", "/v1/solutions"), ("listLayouts", "/v1/layouts"), ("listStudies", "/v1/studies"), ("readPlan", $"/v1/solutions/{id}/plan"), ("readInfluence", $"/v1/solutions/{id}/influence"), ("listMaterials", "/v1/materials"), ("live", "/health/live")])
            Compare(name, await service.Client.Get(address).Success());

        async Task<JsonElement> Ask(string name, string address)
        {
            string posted = operations[name].GetProperty("requestBody").GetProperty("content").GetProperty("application/json").GetProperty("example").GetRawText();
            var answer = await service.Client.PostJson(address, posted).Success();
            Compare(name, answer);
            return answer;
        }

        void Compare(string name, JsonElement answer)
        {
            var shown = Answers(operations[name]).First().GetProperty("example");
            Assert.Subset(Keys(answer, "").ToHashSet(), Keys(shown, "").ToHashSet());
            Assert.Equal(answer.EnumerateObject().Select(member => member.Name), shown.EnumerateObject().Select(member => member.Name));
        }
    }

    private static IEnumerable<JsonElement> Answers(JsonElement operation) => operation.GetProperty("responses").EnumerateObject().Where(response => response.Name[0] == '2' && response.Value.TryGetProperty("content", out _))
        .SelectMany(response => response.Value.GetProperty("content").EnumerateObject()).Where(content => content.Name == "application/json").Select(content => content.Value);

    private static IEnumerable<string> Keys(JsonElement value, string path) => value.ValueKind switch
    {
        JsonValueKind.Object => value.EnumerateObject().SelectMany(member => Keys(member.Value, $"{path}/{member.Name}").Prepend($"{path}/{member.Name}")),
        JsonValueKind.Array => value.EnumerateArray().SelectMany(item => Keys(item, path)).Distinct(),
        _ => [],
    };
}
