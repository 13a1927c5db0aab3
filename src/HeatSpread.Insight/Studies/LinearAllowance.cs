namespace HeatSpread.Insight.Studies;

/// <summary>
/// Most of a quantity that a limit allows where temperatures are linear in it. A part's or the board's temperature is the greatest of many straight lines in the quantity; where
/// it meets the limit is found without a tolerance: each step goes to where the line that is on top now meets the limit, which never undershoots, until it is on top there too.
/// </summary>
/// <param name="reader">Of the fields.</param>
/// <param name="rest">Coefficients with none of the quantity.</param>
/// <param name="unit">Coefficients that one of it adds.</param>
/// <param name="ambientCelsius">°C.</param>
internal sealed class LinearAllowance(StudyReader reader, double[] rest, double[] unit, double ambientCelsius)
{
    /// <summary>K for one of the quantity, below which a place does not depend on it: rounding of the solves.</summary>
    private const double NoRise = 1e-9;

    private const double Rounding = 1e-9;

    public LimitAllowance Of(StudyLimit limit) => limit.Part < 0 ? OfBoard(limit) : OfPart(limit);

    /// <summary>K above a limit with none of the quantity.</summary>
    public double ExcessAtNone(StudyLimit limit)
    {
        double rise = limit.Part < 0 ? reader.Blocks.Hottest(rest).Rise : reader.PlacesOf(limit.Part).Max(unknown => At(unknown, rest));
        return ambientCelsius + rise - limit.Celsius;
    }

    private LimitAllowance OfPart(StudyLimit limit)
    {
        double? allowed = null;
        foreach (int unknown in reader.PlacesOf(limit.Part))
        {
            double room = limit.Celsius - ambientCelsius - At(unknown, rest), rise = At(unknown, unit);
            if (room < 0) return new(limit, Allowance.Nothing, null);
            if (rise > NoRise) allowed = Math.Min(allowed ?? double.PositiveInfinity, room / rise);
        }
        return new(limit, allowed is null ? Allowance.Unlimited : Allowance.Limited, allowed);
    }

    private LimitAllowance OfBoard(StudyLimit limit)
    {
        double room = limit.Celsius - ambientCelsius;
        if (reader.Blocks.Hottest(rest).Rise > room) return new(limit, Allowance.Nothing, null);
        var top = reader.Blocks.Hottest(unit);
        if (top.Rise <= NoRise) return new(limit, Allowance.Unlimited, null);
        while (true)
        {
            double allowed = (room - At(top, rest)) / At(top, unit);
            var hottest = reader.Blocks.Hottest([.. rest.Zip(unit, (none, one) => none + allowed * one)]);
            if (hottest.Rise <= room + Rounding || hottest == top || At(hottest, unit) <= NoRise) return new(limit, Allowance.Limited, allowed);
            top = hottest;
        }
    }

    private double At(int unknown, double[] coefficients)
    {
        double sum = 0;
        for (int field = 0; field < coefficients.Length; field++) sum += coefficients[field] * reader.Value(field, unknown);
        return sum;
    }

    private double At(HottestCell place, double[] coefficients)
    {
        double sum = 0;
        for (int field = 0; field < coefficients.Length; field++) sum += coefficients[field] * reader.Blocks.Value(field, place);
        return sum;
    }
}
