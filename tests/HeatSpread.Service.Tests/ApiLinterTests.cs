using System.ComponentModel;
using System.Diagnostics;
using System.Text.Json;

namespace HeatSpread.Service.Tests;

/// <summary>A public linter of API descriptions (npm <c>@redocly/cli</c>, its recommended rules), fetched when the test runs and kept by npm.</summary>
public sealed class ApiLinterTests(SharedService service)
{
    [Fact]
    public async Task A_public_linter_finds_no_error_in_the_API_description()
    {
        using var folder = new TemporaryFolder();
        await File.WriteAllTextAsync(Path.Combine(folder.Path, "openapi.json"), await service.Client.GetStringAsync("/openapi/v1.json", TestContext.Current.CancellationToken), TestContext.Current.CancellationToken);
        string output = await Lint(folder.Path);
        int start = output.IndexOf('{', StringComparison.Ordinal);
        Assert.SkipWhen(start < 0, $"The linter cannot be had from npm here: {output.Trim()}");
        var report = JsonElement.Parse(output[start..(output.LastIndexOf('}') + 1)]);
        string[] errors = [.. report.GetProperty("problems").EnumerateArray().Where(p => p.GetProperty("severity").GetString() == "error").Select(p => p.GetRawText())];
        Assert.True(errors.Length == 0, string.Join('\n', errors));
        Assert.Equal(0, report.GetProperty("totals").GetProperty("errors").GetInt32());
    }

    private static async Task<string> Lint(string folder)
    {
        var start = new ProcessStartInfo("npx", ["--yes", "@redocly/cli@2", "lint", "--format=json", "openapi.json"]) { WorkingDirectory = folder, RedirectStandardOutput = true, RedirectStandardError = true };
        start.Environment["REDOCLY_TELEMETRY"] = "off";
        try
        {
            using var process = Process.Start(start)!;
            var (output, errors) = (process.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken), process.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken));
            await process.WaitForExitAsync(TestContext.Current.CancellationToken);
            return await output is { Length: > 0 } report ? report : (await errors).Replace('{', '(');
        }
        catch (Win32Exception fault)
        {
            return fault.Message; // npx is not installed
        }
    }
}
