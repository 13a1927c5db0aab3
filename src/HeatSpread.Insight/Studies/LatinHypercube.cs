namespace HeatSpread.Insight.Studies;

/// <summary>
/// Latin hypercube sampling (McKay, Beckman and Conover, Technometrics 21, 1979, 239): of each input's distribution, cut into as many equal shares as there are points, each share
/// holds exactly one point, at random in it; the shares of different inputs are paired at random. Means need fewer points than by plain random sampling wherever the inputs act
/// one by one.
/// </summary>
public static class LatinHypercube
{
    /// <param name="inputs">Distributions.</param>
    /// <param name="count">Points, at least 1.</param>
    /// <param name="seed">The same seed gives the same points.</param>
    /// <returns><c>[point][input]</c>.</returns>
    public static double[][] Draw(IReadOnlyList<Distribution> inputs, int count, int seed)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        ArgumentOutOfRangeException.ThrowIfLessThan(count, 1);
        var random = new Random(seed); // of a given seed its sequence is the same in every version of the framework
        double[][] points = [.. Enumerable.Range(0, count).Select(_ => new double[inputs.Count])];
        for (int input = 0; input < inputs.Count; input++)
        {
            int[] shares = [.. Enumerable.Range(0, count)];
            random.Shuffle(shares);
            for (int point = 0; point < count; point++)
            {
                double within = Math.Clamp(random.NextDouble(), 1e-9, 1 - 1e-9); // the ends of a normal distribution are infinite
                points[point][input] = inputs[input].Quantile((shares[point] + within) / count);
            }
        }
        return points;
    }
}
