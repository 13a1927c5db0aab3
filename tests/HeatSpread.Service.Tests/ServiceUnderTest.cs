using System.Diagnostics;
using System.Net.Http.Json;
using System.Text;
using System.Text.Json;
using HeatSpread.Service.Tests;
using Microsoft.AspNetCore.Hosting;
using Microsoft.AspNetCore.Mvc.Testing;
using Microsoft.Extensions.Logging;

[assembly: AssemblyFixture(typeof(SharedService))]

namespace HeatSpread.Service.Tests;

/// <summary>The service in this process, with a data folder of its own.</summary>
internal sealed class ServiceUnderTest(string dataFolder, params (string Key, string Value)[] settings) : WebApplicationFactory<Program>
{
    public string DataFolder => dataFolder;

    protected override void ConfigureWebHost(IWebHostBuilder builder)
    {
        builder.UseSetting("HeatSpread:DataFolder", dataFolder);
        foreach (var (key, value) in settings) builder.UseSetting("HeatSpread:" + key, value);
        builder.ConfigureLogging(logging => logging.ClearProviders());
    }

    /// <summary>The program disposes its host too, in its own thread, and who comes second returns while the first is still at it: so this waits for the folder.</summary>
    public override async ValueTask DisposeAsync()
    {
        await base.DisposeAsync();
        for (var watch = Stopwatch.StartNew(); IsHeld() && watch.Elapsed < TimeSpan.FromSeconds(10);) await Task.Delay(5);
    }

    private bool IsHeld()
    {
        string file = Path.Combine(dataFolder, "lock");
        if (!File.Exists(file)) return false;
        try
        {
            using var _ = new FileStream(file, FileMode.Open, FileAccess.ReadWrite, FileShare.None);
            return false;
        }
        catch (IOException)
        {
            return true;
        }
    }
}

/// <summary>One service for all tests that do not need it otherwise: a data folder that is removed at the end.</summary>
public sealed class SharedService : IDisposable
{
    private readonly TemporaryFolder _folder = new();
    private readonly ServiceUnderTest _service;

    public SharedService()
    {
        _service = new ServiceUnderTest(_folder.Path);
        Client = _service.CreateClient();
    }

    public HttpClient Client { get; }

    public void Dispose()
    {
        _service.Dispose();
        _folder.Dispose();
    }
}

internal sealed class TemporaryFolder : IDisposable
{
    public string Path { get; } = Directory.CreateTempSubdirectory("heatspread-").FullName;

    public void Dispose() => Directory.Delete(Path, recursive: true);
}

/// <summary>Requests as scripts send them.</summary>
internal static class Requests
{
    public static StringContent Json(string text) => new(text, Encoding.UTF8, "application/json");

    public static Task<HttpResponseMessage> PostJson(this HttpClient client, string address, string json) =>
        client.PostAsync(address, Json(json), TestContext.Current.CancellationToken);

    public static Task<HttpResponseMessage> Get(this HttpClient client, string address) => client.GetAsync(address, TestContext.Current.CancellationToken);

    public static Task<HttpResponseMessage> Delete(this HttpClient client, string address) => client.DeleteAsync(address, TestContext.Current.CancellationToken);

    public static async Task<JsonElement> Body(this HttpResponseMessage response) =>
        await response.Content.ReadFromJsonAsync<JsonElement>(TestContext.Current.CancellationToken);

    public static Task<byte[]> Bytes(this HttpResponseMessage response) => response.Content.ReadAsByteArrayAsync(TestContext.Current.CancellationToken);

    /// <summary>The body of an answer that must be a success.</summary>
    public static async Task<JsonElement> Success(this Task<HttpResponseMessage> pending)
    {
        using var response = await pending;
        string text = await response.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.True(response.IsSuccessStatusCode, text);
        return JsonElement.Parse(text);
    }

    /// <summary>Posts a layout that must be taken; its id.</summary>
    public static async Task<string> Take(this HttpClient client, string layout) =>
        (await client.PostJson("/v1/layouts", layout).Success()).GetProperty("id").GetString()!;

    /// <summary>Asks for a solution that must be found.</summary>
    public static Task<JsonElement> Solve(this HttpClient client, string layout, string conditions = Boards.Conditions, string grid = """{ "pitchMm": 0.5 }""") =>
        client.PostJson("/v1/solutions", Boards.Request(layout, conditions, grid)).Success();

    public static HttpRequestMessage Preferring(string preference, string json) =>
        new(HttpMethod.Post, "/v1/solutions") { Content = Json(json), Headers = { { "Prefer", preference } } };
}
