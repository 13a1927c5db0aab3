using HeatSpread.Boards;

namespace HeatSpread.Thermal.Converters;

/// <summary>
/// Losses of a converter in continuous conduction: Erickson and Maksimović, Fundamentals of Power Electronics, 2nd ed. (from memory). Duty ratio with conduction losses by the averaged
/// equivalent circuit (chapter 3); switching by the overlap of voltage and current (section 4.3); root mean square of a current with ripple (appendix A); an inductor's copper and core
/// (chapter 13). Duty ratio and ripple hold the drops of switch, rectifier and winding at the mean current (small-ripple approximation, section 2.2); the dead times' drop is a loss but no part of the
/// volt-second balance, and with a measured efficiency the winding's drop alone is. Resistances at higher frequencies, ringing and the charge of diodes and output capacitances are left out.
/// </summary>
internal static class ConverterModel
{
    /// <returns>Null where no duty ratio gives the output at these temperatures, or the inductor alone would lose more than a measured efficiency admits.</returns>
    public static ConverterReading? At(Converter converter, double partCelsius, double inductorCelsius)
    {
        double winding = converter.Winding.At(inductorCelsius);
        if (DutyRatio(converter, partCelsius, winding) is not { } duty) return null;
        double current = converter.Topology == ConverterTopology.Buck ? converter.OutputAmperes : converter.OutputAmperes / (1 - duty);
        double ripple = converter.Henry is { } henry ? OnVolts(converter, current, winding, partCelsius) * duty / (henry * converter.SwitchingHertz) : 0;
        double square = current * current + ripple * ripple / 12, output = converter.OutputVolts * converter.OutputAmperes;
        var losses = new List<ConverterLoss> { new(converter.Inductor, "winding", winding * square), new(converter.Inductor, "core", converter.CoreWatts) };
        double inductor = losses.Sum(loss => loss.Watts);
        if (converter.Efficiency is { } efficiency)
        {
            double rest = output * (1 / efficiency - 1) - inductor;
            if (rest < 0) return null;
            losses.Insert(0, new(converter.Part, "measured", rest));
        }
        else if (converter.Stage is { } stage)
        {
            losses.InsertRange(0, StageLosses(converter, stage, duty, current, square, partCelsius));
        }
        return new ConverterReading(duty, ripple, current, output + losses.Sum(loss => loss.Watts), output, losses, partCelsius, inductorCelsius)
        {
            Warnings = [.. ConverterWarnings.Of(converter, duty, current, ripple)],
        };
    }

    /// <summary>Across the inductor while the controlled switch is on, its own resistance's drop taken off.</summary>
    private static double OnVolts(Converter converter, double current, double winding, double partCelsius)
    {
        double against = converter.Topology == ConverterTopology.Buck ? converter.OutputVolts : 0, on = converter.Stage?.Switch.At(partCelsius) ?? 0;
        return converter.InputVolts - against - current * (on + winding);
    }

    private static IEnumerable<ConverterLoss> StageLosses(Converter converter, PowerStage stage, double duty, double current, double square, double celsius)
    {
        double hertz = converter.SwitchingHertz, dead = 2 * stage.DeadTimeSeconds * hertz, blocked = Math.Max(converter.InputVolts, converter.OutputVolts);
        double rectified = Math.Max(0, 1 - duty - dead);
        ConverterLoss Loss(string kind, double watts) => new(converter.Part, kind, watts);
        yield return Loss("switchConduction", duty * square * stage.Switch.At(celsius));
        yield return Loss("rectifierConduction", rectified * (square * stage.Rectifier.At(celsius) + current * stage.RectifierVolts));
        yield return Loss("switching", 0.5 * blocked * current * stage.OverlapSeconds * hertz);
        yield return Loss("deadTime", current * stage.DeadTimeVolts * dead);
        yield return Loss("gate", stage.GateCoulomb * stage.GateVolts * hertz);
        yield return Loss("quiescent", stage.QuiescentAmperes * converter.InputVolts);
    }

    /// <summary>Volt-second balance of the inductor with the drops of switch, rectifier and winding; null where it has no solution.</summary>
    private static double? DutyRatio(Converter converter, double partCelsius, double winding)
    {
        double on = converter.Stage?.Switch.At(partCelsius) ?? 0, off = converter.Stage?.Rectifier.At(partCelsius) ?? 0, diode = converter.Stage?.RectifierVolts ?? 0;
        double load = converter.OutputAmperes, output = converter.OutputVolts + diode;
        if (converter.Topology == ConverterTopology.Buck)
        {
            double duty = (output + load * (off + winding)) / (converter.InputVolts + diode - load * (on - off));
            return duty is > 0 and <= 1 ? duty : null;
        }
        // (V + Vd)·D'² - (Vg + I·(Ron - Roff))·D' + I·(Rl + Ron) = 0, the root that tends to Vg / V.
        double linear = converter.InputVolts + load * (on - off), discriminant = linear * linear - 4 * output * load * (winding + on);
        if (discriminant < 0) return null;
        double complement = (linear + Math.Sqrt(discriminant)) / (2 * output);
        return complement is > 0 and <= 1 ? 1 - complement : null;
    }
}
