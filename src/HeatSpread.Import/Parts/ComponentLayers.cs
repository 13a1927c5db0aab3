using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Assembly;
using HeatSpread.Import.Files;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Parts;

/// <summary>Components from a component layer of Gerber X3 (Gerber Layer Format Specification, chapter on the component layer).</summary>
internal static class ComponentLayers
{
    private const double JoinTolerance = 0.02;

    /// <summary>Outlines by how much they say of the body, best first.</summary>
    private static readonly string[] Outlines = ["Body", "Lead2Lead", "Footprint", "Courtyard"];

    public static IEnumerable<BoardComponent> Read(RecognizedFile file, GerberImage image)
    {
        string? side = file.Function.Contains("Top") ? "top" : file.Function.Contains("Bot") ? "bottom" : null;
        foreach (var group in image.Objects.Where(o => o.IsDark && o.Attributes.Part is not null).GroupBy(o => o.Attributes.Part!))
        {
            var main = group.FirstOrDefault(o => o is { Kind: ObjectKind.Flash, Attributes.Function: "ComponentMain" });
            var characteristics = (main ?? group.First()).Attributes.Characteristics;
            yield return new BoardComponent(group.Key, side, main is null ? null : Center(main.Shape))
            {
                RotationDegrees = Number(characteristics, ".CRot"),
                HeightMm = Number(characteristics, ".CHgt"),
                Body = Body([.. group]),
                Pins = [.. group.Where(o => o.Kind == ObjectKind.Flash).SelectMany(o => o.Attributes.Pins.Where(p => p.Part == group.Key).Select(p => (p.Pin, Center(o.Shape))))],
                Source = file.Name,
            };
        }
    }

    private static Region? Body(IReadOnlyList<GraphicObject> objects)
    {
        foreach (string kind in Outlines)
        {
            var lines = objects.Where(o => o.Kind == ObjectKind.Draw && o.Attributes.Function == "ComponentOutline," + kind).Select(o => o.Shape).OfType<StrokeShape>().Where(s => s.Path.Count > 1).Select(s => s.Path).ToList();
            if (lines.Count == 0) continue;
            var rings = LineJoin.Of(lines, JoinTolerance).Rings.SelectMany(r => Contours.Fill(r, 10_000, out _) ?? []).ToList();
            if (rings.Count > 0) return new Region(Overlay.Union(rings));
        }
        return null;
    }

    private static double? Number(IReadOnlyDictionary<string, string>? characteristics, string name) =>
        characteristics is not null && characteristics.TryGetValue(name, out string? text) && double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) ? value : null;

    private static Point Center(Shape shape)
    {
        return shape is StrokeShape { Path: [var only] } ? only : Connectivity.SpanCutter.Bounds(shape).Centre;
    }
}
