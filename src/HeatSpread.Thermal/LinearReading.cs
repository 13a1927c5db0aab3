namespace HeatSpread.Thermal;

/// <summary>
/// A weighted sum of temperatures, such as the mean over a pad. Its weights add up to 1 where it stands for one temperature, so that the ambient passes through it unchanged.
/// </summary>
/// <param name="Unknowns">Unknowns of the network: <c>(sheet * Rows + row) * Columns + column</c>, then nodes. One may occur twice.</param>
/// <param name="Weights">One an unknown.</param>
public sealed record LinearReading(IReadOnlyList<int> Unknowns, IReadOnlyList<double> Weights)
{
    /// <summary>The temperature of one unknown.</summary>
    public static LinearReading Of(int unknown) => new([unknown], [1]);

    /// <summary>Its value on a field over all unknowns.</summary>
    public double On(ReadOnlySpan<double> field)
    {
        double sum = 0;
        for (int i = 0; i < Unknowns.Count; i++) sum += Weights[i] * field[Unknowns[i]];
        return sum;
    }

    /// <summary>Adds its weights to a vector over all unknowns.</summary>
    public void AddTo(Span<double> vector)
    {
        for (int i = 0; i < Unknowns.Count; i++) vector[Unknowns[i]] += Weights[i];
    }
}
