using HeatSpread.Boards;

namespace HeatSpread.Thermal;

/// <summary>What the currents of a board's conditions do in its copper.</summary>
public sealed class CurrentField
{
    /// <summary>One a current, in the conditions' order.</summary>
    public required IReadOnlyList<CurrentReading> Readings { get; init; }

    /// <summary>
    /// One array a copper layer: current density in the copper, A/mm², <c>[row * Columns + column]</c> in the cells of the temperature field; the greatest where a cell was divided, 0 where no current
    /// flows, NaN outside the board.
    /// </summary>
    public required IReadOnlyList<float[]> LayerAmpsPerMm2 { get; init; }
}

/// <param name="DropVolts">From where the current enters the copper to where it leaves it, all currents of the net flowing.</param>
/// <param name="CopperWatts">Amperes times drop; the currents of a net add up to what its copper loses.</param>
/// <param name="PeakAmpsPerSquareMeter">Greatest mean over a cell of the copper's current density, of all currents of the net.</param>
/// <param name="PeakLayer">Index into the board's copper layers.</param>
/// <param name="PeakAt">m.</param>
public sealed record CurrentReading(double DropVolts, double CopperWatts, double PeakAmpsPerSquareMeter, int PeakLayer, Point PeakAt);
