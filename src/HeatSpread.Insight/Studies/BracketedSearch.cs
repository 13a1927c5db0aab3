namespace HeatSpread.Insight.Studies;

/// <summary>The end of a search between brackets.</summary>
/// <param name="Low">Where the function is at most zero.</param>
/// <param name="AtLow">Its value there.</param>
/// <param name="High">Where it is above zero.</param>
internal readonly record struct Bracket(double Low, double AtLow, double High);

/// <summary>
/// Roots of functions that cost a solve: false position by the Illinois rule (Dowell and Jarratt, BIT 11, 1971, 168), which keeps the root between brackets and halves the weight
/// of an end that stays. On the near straight lines of temperatures two or three values do.
/// </summary>
internal static class BracketedSearch
{
    private const int MostSteps = 60;

    /// <summary>Where a function crosses zero, from the side where it is at most zero.</summary>
    /// <param name="function">Of the value; positive infinity counts as far above zero.</param>
    /// <param name="low">Where it is at most zero.</param>
    /// <param name="atLow">Its value there.</param>
    /// <param name="high">Where it is above zero; on either side of <paramref name="low"/>.</param>
    /// <param name="atHigh">Its value there.</param>
    /// <param name="kelvin">Distance below zero that is near enough.</param>
    /// <param name="width">Width of the bracket that is narrow enough.</param>
    /// <param name="toGrid">Rounds a value to one that may be tried; null: all may.</param>
    public static Bracket Root(Func<double, double> function, double low, double atLow, double high, double atHigh, double kelvin, double width, Func<double, double>? toGrid = null)
    {
        double weightLow = atLow, weightHigh = atHigh;
        int side = 0;
        for (int step = 0; step < MostSteps && atLow < -kelvin && Math.Abs(high - low) > width; step++)
        {
            // a hair towards the safe side, so that a straight line ends there in one step
            double aim = weightLow + kelvin / 2, middle = double.IsFinite(weightHigh) && step < MostSteps / 2 ? low - aim * (high - low) / (weightHigh - weightLow) : (low + high) / 2;
            double least = Math.Min(low, high), most = Math.Max(low, high);
            if (!(middle > least && middle < most)) middle = (low + high) / 2;
            if (toGrid is not null)
            {
                middle = toGrid(middle);
                if (middle <= least || middle >= most) middle = toGrid((low + high) / 2);
                if (middle <= least || middle >= most) break;
            }
            double at = function(middle);
            if (at <= 0)
            {
                (low, atLow, weightLow) = (middle, at, at);
                if (side == -1) weightHigh /= 2;
                side = -1;
            }
            else
            {
                (high, weightHigh) = (middle, at);
                if (side == 1) weightLow /= 2;
                side = 1;
            }
        }
        return new(low, atLow, high);
    }
}
