using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Import.Assembly;

/// <summary>The stack of the description, or a usual one for the number of copper files.</summary>
internal static class StackRows
{
    private const double BoardThicknessUm = 1600;
    private const double MaskUm = 20;
    private const double OuterCopperUm = 35;
    private const double InnerCopperUm = 17.5;
    private const double PrepregUm = 200;

    public static IReadOnlyList<StackRowDocument> For(FabricationDescription description, int copperFiles, ImportNotes notes)
    {
        if (description.Stack is { } given) return given;
        var rows = Usual(copperFiles);
        notes.Warn($"the description has no stack; a usual one of 1.6 mm was taken (µm from the top): {Tell(rows)}");
        return rows;
    }

    /// <summary>Rows with their thicknesses, µm, in words.</summary>
    public static string Tell(IEnumerable<StackRowDocument> rows) =>
        string.Join(", ", rows.Select(r => string.Create(CultureInfo.InvariantCulture, $"{r.Name ?? r.Kind} {r.ThicknessUm:0.###}")));

    public static IReadOnlyList<string> CopperNames(IReadOnlyList<StackRowDocument> rows) =>
        [.. rows.Where(r => r.Kind == "copper").Select((r, i) => r.Name ?? string.Create(CultureInfo.InvariantCulture, $"L{i + 1}"))];

    /// <summary>Masks outside, 35 µm outer and 17.5 µm inner copper, 200 µm below the outer layers, the rest shared out evenly (common practice, no source).</summary>
    private static List<StackRowDocument> Usual(int layers)
    {
        double copper = Math.Min(layers, 2) * OuterCopperUm + Math.Max(0, layers - 2) * InnerCopperUm;
        double laminate = BoardThicknessUm - copper - 2 * MaskUm;
        int gaps = Math.Max(1, layers - 1), outerGaps = gaps >= 3 ? 2 : 0;
        double innerGap = Math.Max(50, Math.Round((laminate - outerGaps * PrepregUm) / (gaps - outerGaps), 1));
        var rows = new List<StackRowDocument> { new() { Kind = "mask", ThicknessUm = MaskUm } };
        for (int i = 0; i < Math.Max(1, layers); i++)
        {
            bool isOuter = i == 0 || i == layers - 1;
            rows.Add(new() { Kind = "copper", Name = string.Create(CultureInfo.InvariantCulture, $"L{i + 1}"), ThicknessUm = isOuter ? OuterCopperUm : InnerCopperUm });
            if (i == layers - 1 && layers > 1) break;
            bool isPrepreg = outerGaps > 0 && (i == 0 || i == layers - 2);
            rows.Add(new() { Kind = "dielectric", ThicknessUm = isPrepreg ? PrepregUm : innerGap, Material = "fr4" });
        }
        rows.Add(new() { Kind = "mask", ThicknessUm = MaskUm });
        return rows;
    }
}
