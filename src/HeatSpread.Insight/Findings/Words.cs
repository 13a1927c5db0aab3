using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>Numbers for people: rounded to what their accuracy supports.</summary>
internal static class Words
{
    /// <summary>A difference of temperatures: two digits, and none below half the grid's error.</summary>
    /// <param name="kelvin">Not negative.</param>
    /// <param name="gridError">What it may be off, K.</param>
    public static string Kelvin(double kelvin, double gridError)
    {
        double step = gridError < 0.5 && kelvin < 9.95 ? 0.1 : gridError < 5 ? 1 : gridError < 50 ? 10 : 100;
        double rounded = Math.Round(kelvin / step, MidpointRounding.AwayFromZero) * step;
        return rounded <= 0 && kelvin > 0 ? $"less than {Number(step, step < 1 ? 1 : 0)} K" : $"{Number(rounded, step < 1 ? 1 : 0)} K";
    }

    /// <summary>A difference that is roughly known: one digit below 10 K.</summary>
    /// <param name="kelvin">Not negative.</param>
    /// <param name="gridError">What it may be off, K.</param>
    public static string About(double kelvin, double gridError) => "about " + Kelvin(kelvin, kelvin < 0.95 ? gridError : Math.Max(gridError, 0.5));

    /// <summary>An error itself: one digit below 1 K.</summary>
    public static string Bound(double gridError) => Kelvin(gridError, gridError < 0.95 ? 0 : 0.5);

    public static string Watts(double watts) => watts is > 0 and < 0.0005 ? "less than 0.001 W" : Number(watts, watts < 0.1 ? 3 : 2) + " W";

    public static string Millimetres(double meters) => (meters < 0.1e-3 ? "0.1" : (meters * 1e3).ToString(meters < 9.95e-3 ? "0.#" : "0", CultureInfo.InvariantCulture)) + " mm";

    public static string SquareMillimetres(double squareMeters) =>
        squareMeters < 0.95e-6 ? $"{Math.Max(0.1, squareMeters * 1e6).ToString("0.#", CultureInfo.InvariantCulture)} mm²" : Number(squareMeters * 1e6, 0) + " mm²";

    public static string At(Point at) => $"({Number(at.X * 1e3, 1)}, {Number(at.Y * 1e3, 1)}) mm";

    public static string Net(Board board, int net) => net < 0 ? "copper of no net" : board.Nets[net].Name;

    private static string Number(double value, int decimals) => value.ToString("F" + decimals, CultureInfo.InvariantCulture);
}
