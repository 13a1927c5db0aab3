using System.Net;

namespace HeatSpread.Service.Tests;

/// <summary>What a viewer draws from: plan, owners of copper, the camera's numbers, colours, the rise of a watt, and conditions that are tried.</summary>
public sealed class ViewingTests(SharedService shared)
{
    private readonly HttpClient _client = shared.Client;

    [Fact]
    public async Task The_plan_is_the_layout_without_its_copper_and_stays_when_the_layout_is_removed()
    {
        var solution = await _client.Solve(Boards.Plate("plan"));
        string id = solution.GetProperty("id").GetString()!;
        using var removed = await _client.Delete($"/v1/layouts/{solution.GetProperty("layout").GetString()}");
        Assert.Equal(HttpStatusCode.NoContent, removed.StatusCode);
        var plan = await _client.Get($"/v1/solutions/{id}/plan").Success();
        Assert.Equal(["GND", "OUT"], plan.GetProperty("netNames").EnumerateArray().Select(n => n.GetString()!));
        var layout = plan.GetProperty("layout");
        Assert.False(layout.TryGetProperty("copper", out _));
        Assert.Equal(["U1", "L5"], layout.GetProperty("parts").EnumerateArray().Select(p => p.GetProperty("id").GetString()!));
    }

    [Fact]
    public async Task Owners_are_runs_of_cells_with_the_net_of_their_copper()
    {
        string id = (await _client.Solve(Boards.Plate("owners"))).GetProperty("id").GetString()!;
        int[][] runs = await Rows<int>($"/v1/solutions/{id}/layers/L1/owners.npy?columns=40");
        Assert.Equal(28 * 2, runs.Length); // GND from x 1 to 21, OUT from 22 to 39, over y 1 to 29 of a board of 40 × 30 mm
        Assert.All(runs.Where(run => run[3] == 0), run => Assert.Equal((1, 21), (run[1], run[2])));
        Assert.All(runs.Where(run => run[3] == 1), run => Assert.Equal((22, 39), (run[1], run[2])));
        Assert.Equal((1, 28), (runs.Min(run => run[0]), runs.Max(run => run[0])));
        int[][] window = await Rows<int>($"/v1/solutions/{id}/layers/L1/owners.npy?columns=8&box=20,10,24,12");
        Assert.Equal([0, 0, 2, 0], window[0]); // half a millimetre a cell: GND ends at 21, OUT begins at 22
        Assert.Equal([0, 4, 8, 1], window[1]);
    }

    [Theory]
    [InlineData("box=1,2,3")]
    [InlineData("box=5,0,1,2")]
    [InlineData("box=a,b,c,d")]
    [InlineData("columns=0")]
    [InlineData("pitch=1")]
    public async Task A_faulty_window_is_400(string query)
    {
        string id = (await _client.Solve(Boards.Plate("windows"))).GetProperty("id").GetString()!;
        using var response = await _client.Get($"/v1/solutions/{id}/layers/L1/owners.npy?{query}");
        Assert.Equal(HttpStatusCode.BadRequest, response.StatusCode);
    }

    [Fact]
    public async Task The_camera_sees_the_case_of_a_part_and_lower_y_in_the_first_row()
    {
        var solution = await _client.Solve(Boards.Plate("camera numbers"));
        string id = solution.GetProperty("id").GetString()!;
        float[][] seen = await Rows<float>($"/v1/solutions/{id}/views/top.npy?columns=80");
        Assert.Equal((60, 80), (seen.Length, seen[0].Length));
        double cased = solution.GetProperty("parts")[0].GetProperty("nodes").GetProperty("case").GetDouble();
        Assert.Equal(cased, seen[12][13], 0.5); // the middle of U1's body, 6.5 and 6 mm from the lower left corner
    }

    [Fact]
    public async Task A_watt_more_raises_the_layer_by_the_rise_of_a_watt()
    {
        string id = (await _client.Solve(Boards.Plate("rise", watts: 1.2))).GetProperty("id").GetString()!, hotter = (await _client.Solve(Boards.Plate("rise", watts: 2.2))).GetProperty("id").GetString()!;
        float[][] before = await Rows<float>($"/v1/solutions/{id}/layers/L2.npy"), after = await Rows<float>($"/v1/solutions/{hotter}/layers/L2.npy"), rise = await Rows<float>($"/v1/solutions/{id}/layers/L2/rise.npy?part=U1");
        for (int row = 0; row < before.Length; row += 7)
            for (int column = 0; column < before[0].Length; column += 7) Assert.Equal(after[row][column], before[row][column] + rise[row][column], 1e-3);
        using var nameless = await _client.Get($"/v1/solutions/{id}/layers/L2/rise.npy");
        Assert.Equal(HttpStatusCode.BadRequest, nameless.StatusCode);
    }

    [Fact]
    public async Task What_is_tried_is_what_a_solution_of_the_same_conditions_says()
    {
        const string Other = """{ "ambientCelsius": 40, "surfaces": { "top": { "stillAir": { "orientation": "faceUp" }, "emissivity": 0.9 }, "bottom": { "filmWattsPerM2K": 5 } }, "watts": { "L5": 0.9 } }""";
        string id = (await _client.Solve(Boards.Plate("tried"))).GetProperty("id").GetString()!;
        var solved = await _client.Solve(Boards.Plate("tried"), Other);
        var tried = await _client.PostJson($"/v1/solutions/{id}/trials", $$"""{ "conditions": {{Other}} }""").Success();
        Assert.Equal(solved.GetProperty("peak").GetProperty("celsius").GetDouble(), tried.GetProperty("peakCelsius").GetDouble(), 0.01);
        foreach (var (one, other) in solved.GetProperty("parts").EnumerateArray().Zip(tried.GetProperty("parts").EnumerateArray()))
            Assert.Equal(one.GetProperty("maxCelsius").GetDouble(), other.GetProperty("maxCelsius").GetDouble(), 0.01);
        float[][] field = await Rows<float>(tried.GetProperty("layers")[0].GetProperty("field").GetString()!), expected = await Rows<float>($"/v1/solutions/{solved.GetProperty("id").GetString()}/layers/L1.npy");
        Assert.Equal(expected[30][40], field[30][40], 0.01f);
        using var forgotten = await _client.Get($"/v1/solutions/{id}/trials/none/layers/L1.npy");
        Assert.Equal(HttpStatusCode.NotFound, forgotten.StatusCode);
    }

    [Fact]
    public async Task Faults_of_what_is_tried_are_told_with_their_places()
    {
        string id = (await _client.Solve(Boards.Plate("faulty trial"))).GetProperty("id").GetString()!;
        using var refused = await _client.PostJson($"/v1/solutions/{id}/trials", """{ "conditions": { "ambientCelsius": "hot", "watts": { "U9": 1 } }, "grid": 1 }""");
        Assert.Equal(HttpStatusCode.UnprocessableEntity, refused.StatusCode);
        string[] pointers = [.. (await refused.Body()).GetProperty("errors").EnumerateArray().Select(e => e.GetProperty("pointer").GetString()!)];
        Assert.Contains("/grid", pointers);
        Assert.Contains("/conditions/ambientCelsius", pointers);
        Assert.Contains("/conditions/watts/U9", pointers);
        using var closed = await _client.PostJson($"/v1/solutions/{id}/trials", """{ "conditions": { "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": -1 } } } }""");
        Assert.Equal(HttpStatusCode.UnprocessableEntity, closed.StatusCode);
    }

    [Fact]
    public async Task The_palettes_have_as_many_colours_each_and_the_usual_ones_are_among_them()
    {
        var answer = await _client.Get("/v1/palettes").Success();
        var palettes = answer.GetProperty("palettes").EnumerateArray().ToDictionary(p => p.GetProperty("name").GetString()!, p => p.GetProperty("colours").EnumerateArray().Select(c => c.GetString()!).ToArray());
        Assert.All(palettes.Values, colours => Assert.Equal(256, colours.Length));
        Assert.All(palettes.Values.SelectMany(c => c), colour => Assert.Matches("^[0-9a-f]{6}$", colour));
        Assert.All((string[])["temperature", "camera", "difference"], use => Assert.Contains(answer.GetProperty(use).GetString()!, palettes.Keys));
    }

    private async Task<T[][]> Rows<T>(string address)
        where T : unmanaged
    {
        using var response = await _client.Get(address);
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        byte[] npy = await response.Bytes();
        int start = 10 + BitConverter.ToUInt16(npy, 8);
        string header = System.Text.Encoding.ASCII.GetString(npy, 10, start - 10);
        int columns = int.Parse(header.Split(", ")[3].TrimEnd(')').Split(')')[0], System.Globalization.CultureInfo.InvariantCulture);
        T[] values = System.Runtime.InteropServices.MemoryMarshal.Cast<byte, T>(npy.AsSpan(start)).ToArray();
        return [.. values.Chunk(columns)];
    }
}
