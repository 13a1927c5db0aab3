using System.Net;

namespace HeatSpread.Service.Tests;

/// <summary>What more a stored solution tells: the influence matrix and the benefit of copper.</summary>
public sealed class AnalysisTests(SharedService shared)
{
    private readonly HttpClient _client = shared.Client;

    [Fact]
    public async Task The_influence_matrix_gives_the_temperatures_for_other_watts()
    {
        string id = (await _client.Solve(Boards.Plate("influence", watts: 1.2))).GetProperty("id").GetString()!;
        var hotter = await _client.Solve(Boards.Plate("influence", watts: 3));
        var influence = await _client.Get($"/v1/solutions/{id}/influence").Success();
        Assert.True(influence.GetProperty("linear").GetBoolean());
        var parts = influence.GetProperty("parts").EnumerateArray().ToArray();
        Assert.Equal(["U1", "L5"], parts.Select(p => p.GetProperty("id").GetString()!));
        Assert.Equal(["junction", "mean over the pads"], parts.Select(p => p.GetProperty("readAt").GetString()!));
        double[][] matrix = [.. influence.GetProperty("kelvinPerWatt").EnumerateArray().Select(row => row.EnumerateArray().Select(k => k.GetDouble()).ToArray())];
        Assert.Equal(matrix[0][1], matrix[1][0], 1e-6);
        double junction = parts[0].GetProperty("restCelsius").GetDouble() + 3 * matrix[0][0] + 0.4 * matrix[0][1];
        Assert.Equal(hotter.GetProperty("parts")[0].GetProperty("nodes").GetProperty("junction").GetDouble(), junction, 1e-4);
        var one = await _client.Get($"/v1/solutions/{id}/influence?parts=L5").Success();
        Assert.Equal(matrix[1][1], one.GetProperty("kelvinPerWatt")[0][0].GetDouble(), 1e-9);
    }

    [Fact]
    public async Task The_benefit_of_copper_is_sent_as_picture_and_as_numbers()
    {
        string id = (await _client.Solve(Boards.Plate("benefit"))).GetProperty("id").GetString()!;
        using var picture = await _client.Get($"/v1/solutions/{id}/layers/L1/benefit.png?part=U1&width=400");
        Assert.Equal("image/png", picture.Content.Headers.ContentType?.MediaType);
        byte[] npy = await (await _client.Get($"/v1/solutions/{id}/layers/L1/benefit.npy?part=U1")).Bytes();
        int header = 10 + BitConverter.ToUInt16(npy, 8);
        Assert.Equal(80 * 60, (npy.Length - header) / sizeof(float));
        double At(int column, int row) => BitConverter.ToSingle(npy, header + sizeof(float) * (row * 80 + column));
        Assert.Equal(0, At(20, 20)); // copper of GND
        Assert.True(At(42, 30) > 0, "between the pours heat would cross");
    }

    [Theory]
    [InlineData("influence?parts=U9", HttpStatusCode.BadRequest)]
    [InlineData("influence?part=U1", HttpStatusCode.BadRequest)]
    [InlineData("layers/L1/benefit.png", HttpStatusCode.BadRequest)]
    [InlineData("layers/L1/benefit.npy?part=U9", HttpStatusCode.BadRequest)]
    [InlineData("layers/L9/benefit.png?part=U1", HttpStatusCode.NotFound)]
    public async Task Wrong_questions_are_told(string query, HttpStatusCode expected)
    {
        string id = (await _client.Solve(Boards.Plate("questions"))).GetProperty("id").GetString()!;
        using var response = await _client.Get($"/v1/solutions/{id}/{query}");
        Assert.Equal(expected, response.StatusCode);
        Assert.Equal("application/problem+json", response.Content.Headers.ContentType?.MediaType);
        Assert.Equal(HttpStatusCode.NotFound, (await _client.Get("/v1/solutions/none/influence")).StatusCode);
    }
}
