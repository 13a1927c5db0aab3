using System.Diagnostics;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>The kernels and whole small solves again, in child processes with vector instructions switched off.</summary>
public class InstructionSetTests
{
    [Theory]
    [InlineData("DOTNET_EnableAVX512")]
    [InlineData("DOTNET_EnableAVX2")]
    [InlineData("DOTNET_EnableHWIntrinsic")]
    public async Task RightWithout(string setting)
    {
        var program = Path.ChangeExtension(typeof(InstructionSetTests).Assembly.Location, OperatingSystem.IsWindows() ? ".exe" : null);
        var start = new ProcessStartInfo(program) { RedirectStandardOutput = true, RedirectStandardError = true };
        foreach (var argument in new[] { "-class", typeof(KernelTests).FullName!, "-class", typeof(CoarseningTwinTests).FullName!, "-class", typeof(DenseReferenceTests).FullName!, "-noLogo", "-noColor" }) start.ArgumentList.Add(argument);
        start.Environment[setting] = "0";
        using var child = Process.Start(start)!;
        var output = child.StandardOutput.ReadToEndAsync(TestContext.Current.CancellationToken);
        var errors = child.StandardError.ReadToEndAsync(TestContext.Current.CancellationToken);
        await child.WaitForExitAsync(TestContext.Current.CancellationToken);
        Assert.True(child.ExitCode == 0, await output + await errors);
        Assert.Contains("Failed: 0", await output, StringComparison.Ordinal);
    }
}
