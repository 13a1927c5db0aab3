using System.Buffers.Binary;
using System.Globalization;
using System.Net;
using System.Net.Http.Headers;
using System.Runtime.InteropServices;
using System.Text;
using System.Text.RegularExpressions;

namespace HeatSpread.Service.Tests;

public sealed partial class FieldTests(SharedService service)
{
    private readonly HttpClient _client = service.Client;

    [Fact]
    public async Task The_array_the_text_and_the_answer_say_the_same()
    {
        var solution = await _client.Solve(Boards.Plate("array"));
        var layer = solution.GetProperty("layers")[0];
        string address = $"/v1/solutions/{solution.GetProperty("id").GetString()}/layers/L1";
        using var array = await _client.Get(address + ".npy");
        var (rows, columns, values) = ReadNpy(await array.Bytes());
        Assert.Equal((layer.GetProperty("grid").GetProperty("rows").GetInt32(), layer.GetProperty("grid").GetProperty("columns").GetInt32()), (rows, columns));
        Assert.Equal((float)layer.GetProperty("maxCelsius").GetDouble(), values.Where(float.IsFinite).Max());
        Assert.Equal((float)layer.GetProperty("minCelsius").GetDouble(), values.Where(float.IsFinite).Min());

        using var text = await _client.Get(address + ".csv");
        string[] lines = (await text.Content.ReadAsStringAsync(TestContext.Current.CancellationToken)).TrimEnd('\n').Split('\n');
        Assert.Equal(rows, lines.Length);
        Assert.Equal(values, lines.SelectMany(line => line.Split(',')).Select(v => float.Parse(v, CultureInfo.InvariantCulture)));
    }

    [Fact]
    public async Task Row_0_is_at_the_lowest_y_and_outside_the_board_is_NaN()
    {
        const string corner = "[[[0, 0], [40, 0], [40, 30], [20, 30], [20, 20], [0, 20], [0, 0]]]";
        string board = Boards.Plate("corner").Replace("[[[0, 0], [40, 0], [40, 30], [0, 30], [0, 0]]]", corner, StringComparison.Ordinal)
            .Replace("[[15, 25]]", "[[15, 15]]", StringComparison.Ordinal).Replace("[21, 29], [1, 29]", "[21, 19], [1, 19]", StringComparison.Ordinal)
            .Replace("[39, 29], [1, 29]", "[39, 19], [1, 19]", StringComparison.Ordinal);
        var solution = await _client.Solve(board);
        using var array = await _client.Get($"/v1/solutions/{solution.GetProperty("id").GetString()}/layers/L2.npy");
        var (rows, columns, values) = ReadNpy(await array.Bytes());
        Assert.True(float.IsFinite(values[0]));
        Assert.True(float.IsNaN(values[(rows - 1) * columns])); // the upper left of the plan is cut out
        Assert.True(float.IsFinite(values[^1]));
    }

    [Theory]
    [InlineData("layers/L1.png")]
    [InlineData("layers/L2.png")]
    [InlineData("views/top.png")]
    [InlineData("views/bottom.png")]
    public async Task A_picture_has_the_asked_width(string picture)
    {
        string id = (await _client.Solve(Boards.Plate("pictures"))).GetProperty("id").GetString()!;
        using var response = await _client.Get($"/v1/solutions/{id}/{picture}?width=500&min=20&max=90&isotherms=true&outlines=false&legend=true");
        Assert.Equal("image/png", response.Content.Headers.ContentType?.MediaType);
        using var bitmap = SkiaSharp.SKBitmap.Decode(await response.Bytes());
        Assert.Equal(500, bitmap.Width);
    }

    [Theory]
    [InlineData("layers/L1.png?width=300")]
    [InlineData("layers/L1.npy")]
    [InlineData("layers/L1.csv")]
    [InlineData("views/top.png?width=300")]
    [InlineData("")]
    public async Task What_the_client_has_is_not_sent_again(string path)
    {
        string id = (await _client.Solve(Boards.Plate("tags"))).GetProperty("id").GetString()!;
        string address = $"/v1/solutions/{id}/{path}".TrimEnd('/');
        using var first = await _client.Get(address);
        Assert.False(first.Headers.ETag!.IsWeak);
        using var request = new HttpRequestMessage(HttpMethod.Get, address) { Headers = { IfNoneMatch = { first.Headers.ETag } } };
        using var second = await _client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.NotModified, second.StatusCode);
        Assert.Equal(first.Headers.ETag, second.Headers.ETag);
        Assert.Empty(await second.Bytes());
        using var other = new HttpRequestMessage(HttpMethod.Get, address) { Headers = { IfNoneMatch = { new EntityTagHeaderValue("\"other\"") } } };
        using var third = await _client.SendAsync(other, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.OK, third.StatusCode);
    }

    [Fact]
    public async Task Pictures_may_be_cached_for_ever_and_differ_in_tag_where_they_differ()
    {
        string id = (await _client.Solve(Boards.Plate("cached"))).GetProperty("id").GetString()!;
        using var one = await _client.Get($"/v1/solutions/{id}/layers/L1.png?width=300");
        using var two = await _client.Get($"/v1/solutions/{id}/layers/L1.png?width=301");
        Assert.Contains("immutable", one.Headers.CacheControl!.ToString(), StringComparison.Ordinal);
        Assert.NotEqual(one.Headers.ETag, two.Headers.ETag);
        using var again = await _client.Get($"/v1/solutions/{id}/layers/L1.png?width=300");
        Assert.Equal(await one.Bytes(), await again.Bytes());
    }

    [Theory]
    [InlineData("top copper")]
    [InlineData("L/1")]
    [InlineData("Lage 1 (außen) 100 %")]
    [InlineData("L1.png?x#y")]
    public async Task Any_layer_name_has_its_address(string name)
    {
        var solution = await _client.Solve(Boards.Plate("odd names", upper: name));
        string image = solution.GetProperty("layers")[0].GetProperty("image").GetString()!;
        using var response = await _client.Get(image);
        Assert.Equal(HttpStatusCode.OK, response.StatusCode);
        using var array = await _client.Get(image[..^3] + "npy");
        Assert.Equal(HttpStatusCode.OK, array.StatusCode);
    }

    [Fact]
    public async Task A_part_of_a_field_can_be_asked_for()
    {
        string id = (await _client.Solve(Boards.Plate("range"))).GetProperty("id").GetString()!;
        using var request = new HttpRequestMessage(HttpMethod.Get, $"/v1/solutions/{id}/layers/L1.npy") { Headers = { Range = new RangeHeaderValue(0, 5) } };
        using var response = await _client.SendAsync(request, TestContext.Current.CancellationToken);
        Assert.Equal(HttpStatusCode.PartialContent, response.StatusCode);
        Assert.Equal("\u0093NUMPY", Encoding.Latin1.GetString(await response.Bytes()));
    }

    /// <summary>Reads by the format's description, not by the service's own code.</summary>
    internal static (int Rows, int Columns, float[] Values) ReadNpy(byte[] file)
    {
        Assert.Equal([0x93, (byte)'N', (byte)'U', (byte)'M', (byte)'P', (byte)'Y', 1, 0], file[..8]);
        int length = BinaryPrimitives.ReadUInt16LittleEndian(file.AsSpan(8));
        Assert.Equal(0, (10 + length) % 64);
        string header = Encoding.ASCII.GetString(file, 10, length);
        Assert.EndsWith("\n", header, StringComparison.Ordinal);
        Assert.Contains("'descr': '<f4'", header, StringComparison.Ordinal);
        Assert.Contains("'fortran_order': False", header, StringComparison.Ordinal);
        var shape = Shape().Match(header);
        return (int.Parse(shape.Groups[1].Value, CultureInfo.InvariantCulture), int.Parse(shape.Groups[2].Value, CultureInfo.InvariantCulture), MemoryMarshal.Cast<byte, float>(file.AsSpan(10 + length)).ToArray());
    }

    [GeneratedRegex(@"'shape': \((\d+), (\d+)\)")]
    private static partial Regex Shape();
}
