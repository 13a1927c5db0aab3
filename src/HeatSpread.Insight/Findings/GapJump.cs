using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>The fall of temperature across a gap, read beside it at a distance at which a coarse grid's cells hold none of the gap either, so that grids can be held against each other.</summary>
/// <param name="Row">Of the stack.</param>
/// <param name="Middle">Of the gap, m.</param>
/// <param name="AlongX">Whether it is read from left to right, or from below up.</param>
/// <param name="WidthMeters">Of the gap.</param>
internal readonly record struct GapJump(int Row, Point Middle, bool AlongX, double WidthMeters)
{
    /// <summary>K from the one side to the other.</summary>
    /// <param name="field">Of any grid.</param>
    /// <param name="coarsest">The coarsest grid that is read at the same places.</param>
    public double In(TemperatureField field, BoardGrid coarsest)
    {
        double away = WidthMeters / 2 + (AlongX ? coarsest.PitchX : coarsest.PitchY);
        return At(field, away) - At(field, -away);
    }

    private double At(TemperatureField field, double away) =>
        FieldSample.At(field.Grid, field.RowCelsius[Row], AlongX ? new(Middle.X + away, Middle.Y) : new(Middle.X, Middle.Y + away));
}
