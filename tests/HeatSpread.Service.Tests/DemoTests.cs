using System.Text.RegularExpressions;
using HeatSpread.Service.Demo;

namespace HeatSpread.Service.Tests;

public sealed partial class DemoTests
{
    [Fact]
    public async Task The_demo_prints_both_revisions_and_where_the_page_is_and_keeps_serving()
    {
        using var folder = new TemporaryFolder();
        await using var app = ServiceHost.Build([$"--HeatSpread:DataFolder={folder.Path}", "--urls=http://127.0.0.1:0", "--Logging:LogLevel:Default=None"]);
        await app.StartAsync(TestContext.Current.CancellationToken);
        using var output = new StringWriter();
        await DemoRun.Run(app, output);
        string text = output.ToString();
        Assert.Equal(2, Rows().Count(text));
        string address = Address().Match(text).Groups[1].Value;
        using var client = new HttpClient { BaseAddress = new Uri(address) };
        var solutions = (await client.Get("/v1/solutions").Success()).GetProperty("solutions");
        Assert.Equal(2, solutions.GetArrayLength());
        await app.StopAsync(TestContext.Current.CancellationToken);
    }

    [GeneratedRegex(@"(?m)\d+\.\d +\d+\.\d .*(pass|fail)\r?$")]
    private static partial Regex Rows();

    [GeneratedRegex(@"The page: (http://127\.0\.0\.1:\d+)")]
    private static partial Regex Address();
}
