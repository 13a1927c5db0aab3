using System.Collections.Concurrent;
using System.Globalization;
using System.Text;
using HeatSpread.Verification.Support;
using Xunit;

[assembly: AssemblyFixture(typeof(CheckTable))]

namespace HeatSpread.Verification.Support;

/// <summary>
/// Every comparison of the suite with the outside world: each is asserted and kept, and the whole is written at the end as a page of markdown, beside the program and, with
/// <c>HEATSPREAD_WRITE_VERIFICATION=1</c>, to <c>VERIFICATION.md</c> of the repository.
/// </summary>
public sealed class CheckTable : IDisposable
{
    private const string PageName = "VERIFICATION.md";

    private readonly ConcurrentBag<Check> checks = [];

    private sealed record Check(string Case, string Source, string Quantity, double Expected, double Computed, double Allowed, bool Absolute)
    {
        public double Error => Absolute ? Math.Abs(Computed - Expected) : Math.Abs(Computed / Expected - 1);
    }

    /// <summary>Asserts that a computed value is within a share of the expected one.</summary>
    /// <param name="name">What is checked.</param>
    /// <param name="source">Where the expected value is published.</param>
    /// <param name="quantity">What is compared, with its unit.</param>
    /// <param name="expected">By the source; not 0.</param>
    /// <param name="computed">By the program.</param>
    /// <param name="relative">Largest error allowed, as a share of <paramref name="expected"/>.</param>
    public void Relative(string name, string source, string quantity, double expected, double computed, double relative) =>
        Record(new(name, source, quantity, expected, computed, relative, Absolute: false));

    /// <summary>As <see cref="Relative"/>, with the error allowed in the unit of the quantity.</summary>
    public void Absolute(string name, string source, string quantity, double expected, double computed, double allowed) =>
        Record(new(name, source, quantity, expected, computed, allowed, Absolute: true));

    public void Dispose()
    {
        string page = Page();
        Console.WriteLine(page);
        File.WriteAllText(Path.Combine(AppContext.BaseDirectory, PageName), page);
        if (Environment.GetEnvironmentVariable("HEATSPREAD_WRITE_VERIFICATION") == "1" && Repository.Root is { } root) File.WriteAllText(Path.Combine(root, PageName), page);
    }

    private void Record(Check check)
    {
        checks.Add(check);
        TestContext.Current.TestOutputHelper?.WriteLine(Line(check));
        Assert.True(check.Error <= check.Allowed, $"{check.Case}, {check.Quantity}: {check.Source} gives {check.Expected:G7}, computed {check.Computed:G7}, error {Amount(check, check.Error)}, allowed {Amount(check, check.Allowed)}");
    }

    private string Page()
    {
        var text = new StringBuilder(
            """
            # Verification

            Written by the tests of `tests/HeatSpread.Verification`, not by hand:

                HEATSPREAD_WRITE_VERIFICATION=1 dotnet run -c Release --project tests/HeatSpread.Verification

            Each row was asserted: a test fails where the error exceeds what is allowed. "Expected" is computed by the source named, in code of the tests' own, or printed there; formulas, tables and
            worked examples are quoted from memory where no copy was at hand. An error with a % sign is a share of the expected value, one without is in the quantity's unit.


            """);
        text.Append("| case | source | quantity | expected | computed | error | allowed |\n| --- | --- | --- | ---: | ---: | ---: | ---: |\n");
        foreach (var check in checks.OrderBy(c => c.Case, StringComparer.Ordinal).ThenBy(c => c.Quantity, StringComparer.Ordinal)) text.Append(Line(check)).Append('\n');
        text.Append("\n## Energy balance\n\nOf every field solved for, heat made less heat given off, as a share of the heat that passes through the board; asserted to be at most 1e-6.\n\n");
        text.Append("| tests | fields | worst share |\n| --- | ---: | ---: |\n");
        foreach (var (test, fields, worst) in EnergyBalances.Worst()) text.Append(CultureInfo.InvariantCulture, $"| {test} | {fields} | {worst:E0} |\n");
        return text.ToString();
    }

    private static string Line(Check check) => string.Create(CultureInfo.InvariantCulture,
        $"| {check.Case} | {check.Source} | {check.Quantity} | {check.Expected:G5} | {check.Computed:G5} | {Amount(check, check.Error)} | {Amount(check, check.Allowed)} |");

    private static string Amount(Check check, double error) => error switch
    {
        _ when check.Absolute => error.ToString("G2", CultureInfo.InvariantCulture),
        < 1e-5 => string.Create(CultureInfo.InvariantCulture, $"{error:E0}"),
        _ => string.Create(CultureInfo.InvariantCulture, $"{error * 100:G2} %"),
    };
}
