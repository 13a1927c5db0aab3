using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>Turns a description in inch into one in mm, as fabrication files are read.</summary>
internal static class DescriptionUnits
{
    public static FabricationDescription InMillimeters(FabricationDescription description)
    {
        if (description.Unit != "inch") return description;
        return description with
        {
            Unit = "mm",
            Outline = description.Outline?.Map(Convert),
            Parts = [.. description.Parts.Select(InMillimeters)],
            Probes = [.. description.Probes.Select(p => p with { At = Convert(p.At) })],
        };
    }

    private static PartDocument InMillimeters(PartDocument part) => part with
    {
        Body = part.Body?.Map(Convert),
        Terminals = [.. part.Terminals.Select(t => t with { Pad = t.Pad.Map(Convert) })],
    };

    private static Point Convert(Point p) => new(Lengths.Round(p.X * Lengths.MillimetersPerInch), Lengths.Round(p.Y * Lengths.MillimetersPerInch));
}
