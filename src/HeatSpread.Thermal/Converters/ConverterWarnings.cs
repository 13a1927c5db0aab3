using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Thermal.Converters;

/// <summary>Where an operating point leaves what the loss model of <see cref="ConverterModel"/> holds for.</summary>
internal static class ConverterWarnings
{
    /// <param name="converter">As given.</param>
    /// <param name="duty">Duty ratio.</param>
    /// <param name="current">Mean current of the inductor, A.</param>
    /// <param name="ripple">Peak to peak, A; 0 where it is not known.</param>
    public static IEnumerable<string> Of(Converter converter, double duty, double current, double ripple)
    {
        if (ripple > 2 * current) yield return Discontinuous(converter, current, ripple);
        if (converter.Stage is not { } stage) yield break;
        double dead = 2 * stage.DeadTimeSeconds * converter.SwitchingHertz;
        if (dead > 1 - duty) yield return Say($"The two dead times take {100 * dead:0.#} % of the period, and the controlled switch leaves {100 * (1 - duty):0.#} %: the rectifier never conducts.");
    }

    /// <summary>Erickson and Maksimović, chapter 5: the mean current is less than half the ripple.</summary>
    private static string Discontinuous(Converter converter, double current, double ripple)
    {
        string numbers = Say($"The inductor's ripple, {ripple:0.###} A peak to peak, is more than twice its mean current, {current:0.###} A");
        bool isDiode = converter.Stage is { RectifierVolts: > 0 };
        return isDiode
            ? numbers + ": the diode makes conduction discontinuous, for which duty ratio, ripple and losses given here do not hold."
            : numbers + ": the current turns negative in each period. The losses hold where the rectifier stays on (forced continuous conduction), not where the controller opens it at zero current (discontinuous conduction).";
    }

    private static string Say(FormattableString text) => text.ToString(CultureInfo.InvariantCulture);
}
