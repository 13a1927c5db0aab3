using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

/// <summary>Where <c>Location</c> and <c>Xform</c> put a shape: offset, mirror across y, scale, turn counter-clockwise, shift.</summary>
internal static class Placement
{
    /// <summary>Null where neither says anything.</summary>
    /// <param name="part">Whose children they are.</param>
    /// <param name="unit">Millimetres in a unit of its lengths.</param>
    public static PlaneTransform? Of(XmlPart part, double unit)
    {
        var (xform, location) = (part.Child("Xform"), part.Child("Location"));
        if (xform is null && location is null) return null;
        var place = location?.Place(unit) ?? default;
        if (xform is null) return PlaneTransform.Shift(place.X, place.Y);
        return Of(xform, place, unit);
    }

    public static PlaneTransform Of(XmlPart xform, Point place, double unit)
    {
        double scale = xform.Number("scale") ?? 1;
        if (scale is not (> 0 and <= 1e4)) throw xform.Unreadable($"must have a 'scale' above 0, and {scale} was found");
        var turned = PlaneTransform.Of(xform.Flag("mirror"), false, xform.Number("rotation") ?? 0, scale);
        var offset = turned.Apply(new Point(xform.LengthOr("xOffset", unit, 0), xform.LengthOr("yOffset", unit, 0)));
        return turned.At(new Point(place.X + offset.X, place.Y + offset.Y));
    }
}
