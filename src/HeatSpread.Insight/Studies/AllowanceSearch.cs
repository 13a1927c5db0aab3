namespace HeatSpread.Insight.Studies;

/// <summary>What each of some limits allows of a quantity, by as few evaluations as do: every evaluation serves all limits.</summary>
/// <param name="excess">K above each limit at a value; positive infinity where heat runs away.</param>
/// <param name="limits">The limits.</param>
/// <param name="guess">A value about which the answer may lie, positive.</param>
internal sealed class AllowanceSearch(Func<double, double[]> excess, IReadOnlyList<StudyLimit> limits, double guess)
{
    /// <summary>K below a limit that is near enough.</summary>
    private const double Kelvin = 0.02;

    /// <summary>Share of the value that is narrow enough.</summary>
    private const double Width = 1e-4;

    /// <summary>Doublings beyond the guess after which a limit is said not to depend on the quantity.</summary>
    private const int MostDoublings = 10;

    private readonly SortedDictionary<double, double[]> _known = [];

    /// <returns>What each limit allows; and where heat runs away, below which it does not.</returns>
    public (IReadOnlyList<LimitAllowance> Limits, double? RunawayAbove) Run()
    {
        double[] none = At(0);
        double high = guess;
        for (int doubling = 0; doubling < MostDoublings && limits.Index().Any(limit => none[limit.Index] <= 0 && At(high)[limit.Index] <= 0); doubling++) high *= 2;
        double? runaway = null;
        if (_known.Any(each => each.Value.Contains(double.PositiveInfinity)) && !none.Contains(double.PositiveInfinity)) runaway = Runaway();
        return ([.. limits.Select((limit, index) => Allowed(limit, index, none[index]))], runaway);
    }

    private LimitAllowance Allowed(StudyLimit limit, int index, double atNone)
    {
        if (atNone > 0) return new(limit, Allowance.Nothing, null);
        var above = _known.FirstOrDefault(each => each.Value[index] > 0, new(double.NaN, []));
        if (double.IsNaN(above.Key)) return new(limit, Allowance.Unlimited, null);
        var below = _known.Last(each => each.Key < above.Key && each.Value[index] <= 0);
        var root = BracketedSearch.Root(value => At(value)[index], below.Key, below.Value[index], above.Key, above.Value[index], Kelvin, Width * above.Key);
        // a limit that runs away with the rest before it is met does not limit by itself
        return double.IsPositiveInfinity(At(root.High)[index]) && root.AtLow < -1 ? new(limit, Allowance.Unlimited, null) : new(limit, Allowance.Limited, root.Low);
    }

    private double Runaway()
    {
        double low = _known.Last(each => !each.Value.Contains(double.PositiveInfinity)).Key, high = _known.First(each => each.Value.Contains(double.PositiveInfinity)).Key;
        while (high - low > 1e-2 * high)
        {
            double middle = (low + high) / 2;
            if (At(middle).Contains(double.PositiveInfinity)) high = middle;
            else low = middle;
        }
        return low;
    }

    private double[] At(double value)
    {
        if (!_known.TryGetValue(value, out double[]? known)) _known[value] = known = excess(value);
        return known;
    }
}
