using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>Numbers for people: rounded to what their accuracy supports.</summary>
internal static class Words
{
    /// <summary>A difference of temperatures: two digits, and a decimal only where the grid's error is below half a kelvin.</summary>
    public static string Kelvin(double kelvin, double gridError) => Number(kelvin, gridError < 0.5 && Math.Abs(kelvin) < 9.95 ? 1 : 0) + " K";

    /// <summary>A difference that is roughly known: one digit below 10 K.</summary>
    public static string About(double kelvin) => kelvin < 0.95 ? $"about {Number(kelvin, 1)} K" : $"about {Number(kelvin, 0)} K";

    public static string Watts(double watts) => Number(watts, watts < 0.1 ? 3 : 2) + " W";

    public static string Millimetres(double meters) => (meters < 0.1e-3 ? "0.1" : (meters * 1e3).ToString(meters < 9.95e-3 ? "0.#" : "0", CultureInfo.InvariantCulture)) + " mm";

    public static string SquareMillimetres(double squareMeters) => Number(squareMeters * 1e6, 0) + " mm²";

    public static string At(Point at) => $"({Number(at.X * 1e3, 1)}, {Number(at.Y * 1e3, 1)}) mm";

    public static string Net(Board board, int net) => net < 0 ? "copper of no net" : board.Nets[net].Name;

    private static string Number(double value, int decimals)
    {
        double least = Math.Pow(10, -decimals);
        return value > 0 && value < least ? $"less than {least.ToString(CultureInfo.InvariantCulture)}" : value.ToString("F" + decimals, CultureInfo.InvariantCulture);
    }
}
