using System.Collections.Concurrent;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Verification.Support;

/// <summary>The heat balance of every field that the suite solves for: each is asserted, and the table tells the worst.</summary>
internal static class EnergyBalances
{
    private const double Allowed = 1e-6;

    private static readonly ConcurrentDictionary<string, (int Fields, double Worst)> byClass = new();

    /// <summary>Asserts that what is made is given off, to a millionth of what passes through the board.</summary>
    public static void Check(TemperatureField field)
    {
        var heat = field.Heat;
        double through = Math.Max(
            heat.DissipatedWatts,
            (Through(field.Surfaces.Top) + Through(field.Surfaces.Bottom) + Math.Abs(heat.EdgesWatts) + Math.Abs(heat.PartsWatts) + heat.ContactWatts.Sum(Math.Abs)) / 2);
        double share = through > 0 ? Math.Abs(heat.ImbalanceWatts) / through : 0;
        string test = TestContext.Current.TestClass?.TestClassSimpleName ?? "";
        byClass.AddOrUpdate(test, (1, share), (_, known) => (known.Fields + 1, Math.Max(known.Worst, share)));
        Assert.True(share <= Allowed, $"{heat.ImbalanceWatts:g2} W of {through:g3} W are unbalanced, {share:g2} of it; allowed is {Allowed:g1}");
    }

    /// <summary>Radiation may bring in what convection takes away.</summary>
    private static double Through(SurfaceReading side) => Math.Max(Math.Abs(side.Watts), Math.Abs(side.ConvectionWatts ?? 0) + Math.Abs(side.RadiationWatts ?? 0));

    /// <summary>By test class: how many fields, and the worst share.</summary>
    public static IEnumerable<(string Test, int Fields, double Worst)> Worst() =>
        byClass.OrderBy(pair => pair.Key, StringComparer.Ordinal).Select(pair => (pair.Key, pair.Value.Fields, pair.Value.Worst));
}
