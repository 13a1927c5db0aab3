namespace HeatSpread.Insight.Studies;

/// <summary>
/// An orthonormal basis of the heats that a study puts into one linear network: watts of each part, then K of each contact's sink over the ambient. The field of any of them is a
/// sum of the fields of the basis, so as many solves do as there are directions in which the heats differ. Orthonormal, so that a heat's coefficients are never larger than the
/// heat itself and no sum cancels.
/// </summary>
internal sealed class SourceSpace
{
    /// <summary>What is left of a heat after the basis is taken off, as a share of it, below which it is in the basis.</summary>
    private const double InBasis = 1e-12;

    private readonly List<double[]> _basis = [];

    public IReadOnlyList<double[]> Basis => _basis;

    /// <summary>Adds the directions that some heats need beyond those that there are, each time the farthest.</summary>
    public void Include(IEnumerable<double[]> sources)
    {
        var left = sources.Where(source => Norm(source) > 0).Select(source => (Lacking: Rest(source), Whole: Norm(source))).ToList();
        while (left.Count > 0)
        {
            var (farthest, whole) = left.MaxBy(each => Norm(each.Lacking) / each.Whole);
            double length = Norm(farthest);
            if (length <= InBasis * whole) return;
            _basis.Add(Rest([.. farthest.Select(value => value / length)], unit: true));
            for (int i = 0; i < left.Count; i++) left[i] = (Rest(left[i].Lacking), left[i].Whole);
            left.RemoveAll(each => Norm(each.Lacking) <= InBasis * each.Whole);
        }
    }

    /// <summary>Of a heat that is in the space.</summary>
    public double[] Coefficients(double[] source) => [.. _basis.Select(direction => Dot(direction, source))];

    /// <summary>What the basis lacks of a heat. Taken off twice, for the first time leaves rounding.</summary>
    private double[] Rest(double[] source, bool unit = false)
    {
        double[] rest = [.. source];
        for (int pass = 0; pass < 2; pass++)
        {
            foreach (double[] direction in _basis)
            {
                double along = Dot(direction, rest);
                for (int i = 0; i < rest.Length; i++) rest[i] -= along * direction[i];
            }
        }
        if (!unit) return rest;
        double length = Norm(rest);
        return [.. rest.Select(value => value / length)];
    }

    private static double Dot(double[] first, double[] second)
    {
        double sum = 0;
        for (int i = 0; i < first.Length; i++) sum += first[i] * second[i];
        return sum;
    }

    private static double Norm(double[] source) => Math.Sqrt(Dot(source, source));
}
