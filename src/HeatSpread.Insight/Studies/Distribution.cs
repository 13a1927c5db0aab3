using MathNet.Numerics.Distributions;

namespace HeatSpread.Insight.Studies;

/// <summary>How an uncertain input is spread.</summary>
public abstract record Distribution
{
    public abstract double Mean { get; }

    public abstract double StandardDeviation { get; }

    /// <summary>The value below which a share of all values lies.</summary>
    /// <param name="share">Above 0 and below 1.</param>
    public abstract double Quantile(double share);
}

/// <param name="Least">Lower end.</param>
/// <param name="Most">Upper end, above it.</param>
public sealed record UniformSpread(double Least, double Most) : Distribution
{
    public override double Mean => (Least + Most) / 2;

    public override double StandardDeviation => (Most - Least) / Math.Sqrt(12);

    public override double Quantile(double share) => Least + share * (Most - Least);
}

/// <param name="Middle">Its mean.</param>
/// <param name="Deviation">Its standard deviation, positive.</param>
public sealed record NormalSpread(double Middle, double Deviation) : Distribution
{
    public override double Mean => Middle;

    public override double StandardDeviation => Deviation;

    public override double Quantile(double share) => Normal.InvCDF(Middle, Deviation, share);
}

/// <param name="Least">Lower end.</param>
/// <param name="Mode">The most likely value, between the ends.</param>
/// <param name="Most">Upper end, above the lower one.</param>
public sealed record TriangularSpread(double Least, double Mode, double Most) : Distribution
{
    public override double Mean => (Least + Mode + Most) / 3;

    public override double StandardDeviation => Math.Sqrt((Least * Least + Mode * Mode + Most * Most - Least * Mode - Least * Most - Mode * Most) / 18);

    public override double Quantile(double share)
    {
        double width = Most - Least, below = (Mode - Least) / width;
        return share < below ? Least + Math.Sqrt(share * width * (Mode - Least)) : Most - Math.Sqrt((1 - share) * width * (Most - Mode));
    }
}
