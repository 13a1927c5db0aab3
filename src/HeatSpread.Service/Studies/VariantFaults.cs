using System.Globalization;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight.Studies;

namespace HeatSpread.Service.Studies;

/// <summary>Values that no sound layout or conditions can have, found before a study begins: each value by itself, all else as in the base.</summary>
internal static class VariantFaults
{
    /// <summary>Values tried of an axis that changes the layout, the ends among them: each is a whole layout to be read.</summary>
    private const int MostLayouts = 9;

    public static IEnumerable<Fault> Of(StudyCases cases, StudyAim aim, JsonElement posted)
    {
        for (int axis = 0; axis < aim.Axes.Count; axis++)
        {
            var varied = aim.Axes[axis];
            foreach (var (value, pointer) in Values(aim, axis, posted))
            {
                if (Fault(cases, varied, value) is { } fault) yield return new(pointer, string.Create(CultureInfo.InvariantCulture, $"{varied.Label} at {Words(varied, value)} makes a case that is not sound: {fault.Pointer}: {fault.Detail}"));
            }
        }
    }

    private static IEnumerable<(double Value, string Pointer)> Values(StudyAim aim, int axis, JsonElement posted)
    {
        var varied = aim.Axes[axis];
        if (aim.Copper is { } copper) return [(copper.Least, "/plan/least"), (copper.Most, "/plan/most")];
        if (varied.Distribution is not null)
        {
            double[] drawn = [.. aim.Plan!.Points.Select(point => point[axis])];
            return [(drawn.Min(), $"/axes/{axis}/distribution"), (drawn.Max(), $"/axes/{axis}/distribution")];
        }
        int count = varied.Values.Count, tried = varied.ChangesLayout ? Math.Min(count, MostLayouts) : count;
        bool isListed = posted.GetProperty("axes")[axis].TryGetProperty("values", out _);
        return Enumerable.Range(0, tried).Select(i => tried == 1 ? 0 : (int)((long)i * (count - 1) / (tried - 1))).Select(i => (varied.Values[i], isListed ? $"/axes/{axis}/values/{i}" : $"/axes/{axis}"));
    }

    private static Fault? Fault(StudyCases cases, StudyAxis axis, double value)
    {
        try
        {
            cases.At([axis], [value]);
            return null;
        }
        catch (StudyCaseException fault)
        {
            return fault.Faults[0];
        }
    }

    private static string Words(StudyAxis axis, double value) => axis.Words is { } words ? words[(int)value] : value.ToString("G6", CultureInfo.InvariantCulture);
}
