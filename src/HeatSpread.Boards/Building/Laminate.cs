namespace HeatSpread.Boards;

/// <summary>
/// Conductivity of a woven laminate from its glass and its resin: the bounds of Wiener (Abhandlungen der Sächsischen Gesellschaft der Wissenschaften 32, 1912, 509), both side by side in the
/// plane, one after the other through it (Progelhof, Throne and Ruetsch, Polymer Engineering and Science 16, 1976, 615; both from memory). With half glass it gives 0.62 and 0.33 W/(m·K), where 0.8
/// to 1.06 and 0.29 to 0.34 were measured on woven-glass epoxy: through the plane it is close, in the plane the weave's filler and yarns conduct better than it says.
/// </summary>
internal static class Laminate
{
    public static Conductivity Of(double glassShare, double resin, double glass) =>
        new(glassShare * glass + (1 - glassShare) * resin, 1 / (glassShare / glass + (1 - glassShare) / resin));
}
