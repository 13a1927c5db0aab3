using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Ipc2581;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>
/// How a package lies on the board. The standard mirrors across y before it turns; some writers turn first or mirror across x. Where the copper
/// names the component's pins, the reading that puts the package's pins on them is taken.
/// </summary>
internal static class ComponentPlacement
{
    public static PlaneTransform Find(IpcComponent component, IpcPackage? package, BoardCopper copper, int layer)
    {
        var standard = Make(component, mirrorX: true, mirrorY: false, sign: 1);
        if (component.Xform is null || !component.Xform.Flag("mirror") || package is null || package.Pins.Count == 0) return standard;
        var pads = PinPlaces(copper.Layers[layer], component.Id);
        if (pads.Count == 0) return standard;
        var candidates = new[] { standard, Make(component, mirrorX: false, mirrorY: true, sign: -1), Make(component, mirrorX: true, mirrorY: false, sign: -1), Make(component, mirrorX: false, mirrorY: true, sign: 1), Make(component, mirrorX: false, mirrorY: false, sign: 1) };
        return candidates.MinBy(t => Mismatch(t, package, pads));
    }

    private static PlaneTransform Make(IpcComponent component, bool mirrorX, bool mirrorY, int sign)
    {
        if (component.Xform is not { } xform) return PlaneTransform.Shift(component.At.X, component.At.Y);
        bool mirror = xform.Flag("mirror");
        return PlaneTransform.Of(mirror && mirrorX, mirror && mirrorY, sign * (xform.Number("rotation") ?? 0), 1).At(component.At);
    }

    private static Dictionary<string, List<Point>> PinPlaces(PaintedLayer layer, string id)
    {
        var places = new Dictionary<string, List<Point>>(StringComparer.Ordinal);
        foreach (var element in layer.Elements)
        {
            foreach (var pin in element.Attributes.Pins)
            {
                if (pin.Part != id) continue;
                if (!places.TryGetValue(pin.Pin, out var list)) places[pin.Pin] = list = [];
                list.Add(SpanCutter.Bounds(element.Shape).Centre);
            }
        }
        return places;
    }

    private static double Mismatch(PlaneTransform transform, IpcPackage package, Dictionary<string, List<Point>> pads) =>
        package.Pins.Where(p => pads.ContainsKey(p.Name)).Sum(p => pads[p.Name].Min(at => Arcs.Distance(at, transform.Apply(p.At))));
}
