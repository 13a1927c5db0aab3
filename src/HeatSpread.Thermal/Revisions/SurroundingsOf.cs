using HeatSpread.Boards;

namespace HeatSpread.Thermal.Revisions;

/// <summary>Conditions between two.</summary>
internal static class SurroundingsOf
{
    /// <summary>A solved board's conditions with the watts of every part told, those of a converter too.</summary>
    public static Conditions WithWatts(SolvedNetwork solved) => solved.Conditions with { Watts = Enumerable.Range(0, solved.Board.Parts.Count).ToDictionary(part => part, solved.WattsOf) };

    /// <summary>The first conditions at the ambient of the second. What radiation sees goes with it where it was the ambient.</summary>
    public static Conditions Ambient(Conditions first, Conditions second)
    {
        double? Seen(double celsius, Surface other) => other switch
        {
            StillAirSurface still => still.SurroundingsCelsius,
            MovingAirSurface moving => moving.SurroundingsCelsius,
            _ => celsius == first.AmbientCelsius ? second.AmbientCelsius : null,
        };
        Surface Of(Surface surface, Surface other) => surface switch
        {
            StillAirSurface still => still with { SurroundingsCelsius = Seen(still.SurroundingsCelsius, other) ?? still.SurroundingsCelsius },
            MovingAirSurface moving => moving with { SurroundingsCelsius = Seen(moving.SurroundingsCelsius, other) ?? moving.SurroundingsCelsius },
            _ => surface,
        };
        return first with { AmbientCelsius = second.AmbientCelsius, Top = Of(first.Top, second.Top), Bottom = Of(first.Bottom, second.Bottom) };
    }

    public static bool SameContacts(IReadOnlyList<Contact> first, IReadOnlyList<Contact> second) => first.Count == second.Count && first.Zip(second).All(pair => Same(pair.First, pair.Second));

    /// <summary>Whether two rows of a stack conduct alike.</summary>
    public static bool SameRow(StackRow first, StackRow second) => (first.Kind, first.Thickness, first.Fill, first.FillCurve, first.CopperConductivity, first.CopperCurve)
        == (second.Kind, second.Thickness, second.Fill, second.FillCurve, second.CopperConductivity, second.CopperCurve);

    /// <summary>Whether two regions are drawn alike, point by point.</summary>
    public static bool SameRegion(Region first, Region second) => first.Polygons.Count == second.Polygons.Count
        && first.Polygons.SelectMany(polygon => polygon.Rings).SelectMany(ring => ring).SequenceEqual(second.Polygons.SelectMany(polygon => polygon.Rings).SelectMany(ring => ring));

    private static bool Same(Contact first, Contact second) => first with { Area = second.Area } == second && SameRegion(first.Area, second.Area);
}
