using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Layouts;

/// <summary>A layout that has passed every check.</summary>
/// <param name="Id">Digest of <paramref name="Canonical"/>.</param>
/// <param name="Unit"><c>mm</c> or <c>inch</c>, of its plan coordinates.</param>
/// <param name="Board">What it describes.</param>
/// <param name="Canonical">Canonical JSON.</param>
internal sealed record LayoutInUse(string Id, string Unit, Board Board, byte[] Canonical)
{
    private const double MetersPerInch = 0.0254;

    /// <summary>Memory held; measured: a built board holds about three times its text.</summary>
    public long BytesHeld => 4L * Canonical.Length;

    /// <summary>Cells of all sheets of the stack together on a grid of a pitch.</summary>
    public double CellsAt(double pitchMeters)
    {
        var box = Board.Outline.Bounds;
        return Math.Max(1, Math.Round(box.Width / pitchMeters)) * Math.Max(1, Math.Round(box.Height / pitchMeters)) * ThermalSolve.SheetCount(Board);
    }

    /// <summary>A length of the plan in the layout's unit.</summary>
    /// <param name="meters">The length.</param>
    public double InUnit(double meters) => Unit == "inch" ? meters / MetersPerInch : meters * 1e3;

    /// <summary>A length in the layout's unit in metres.</summary>
    public double InMeters(double length) => Unit == "inch" ? length * MetersPerInch : length * 1e-3;

    public double[] InUnit(Point meters) => [InUnit(meters.X), InUnit(meters.Y)];

    /// <summary>A place in the layout's unit to a tenth of a micrometre or so, for shapes that are drawn: more digits are noise.</summary>
    public Point Rounded(Point meters)
    {
        int digits = Unit == "inch" ? 6 : 4;
        return new(Math.Round(InUnit(meters.X), digits), Math.Round(InUnit(meters.Y), digits));
    }
}
