using System.Globalization;
using MathNet.Numerics.LinearAlgebra;

namespace HeatSpread.Insight.Correlation;

/// <summary>What measured points can tell of the inputs: standard errors from the weighted derivatives, and which inputs they do not tell apart (singular values, Golub and Van Loan, Matrix Computations, ch. 5.5).</summary>
internal sealed record InputDistinction(double[] StandardErrors, bool[] IsTold, double[][] Correlations, IReadOnlyList<string> Texts)
{
    /// <summary>A change of the fitted inputs (a factor e, or their whole range) that moves the points by less than this many standard uncertainties is not seen.</summary>
    private const double LeastSeen = 1e-3;

    /// <summary>Errors of two inputs that go together so closely mean that only their sum or difference is known.</summary>
    private const double MostCorrelated = 0.95;

    /// <param name="weighted">Derivatives by the fitted inputs over the points' standard uncertainties, one row a point.</param>
    /// <param name="inputs">One a column.</param>
    public static InputDistinction Of(Matrix<double> weighted, IReadOnlyList<FitInput> inputs)
    {
        int count = inputs.Count;
        // inputs that are not over a logarithm are measured by their range, so that singular values compare
        double[] scales = [.. inputs.Select(input => input.IsLogarithmic ? 1 : input.Most - input.Least)];
        var scaled = Matrix<double>.Build.Dense(weighted.RowCount, count, (i, j) => weighted[i, j] * scales[j]);
        var parts = scaled.Svd(computeVectors: true);
        double largest = parts.S.Maximum(), least = Math.Max(LeastSeen, 1e-9 * largest);
        var covariance = Matrix<double>.Build.Dense(count, count);
        var isTold = Enumerable.Repeat(true, count).ToArray();
        for (int k = 0; k < count; k++)
        {
            var direction = parts.VT.Row(k);
            if (parts.S[k] > least) covariance += direction.OuterProduct(direction) / (parts.S[k] * parts.S[k]);
            else MarkUntold(direction, isTold);
        }
        double[] errors = [.. Enumerable.Range(0, count).Select(j => Math.Sqrt(covariance[j, j]))];
        double[][] correlations = [.. Enumerable.Range(0, count).Select(j => Enumerable.Range(0, count).Select(k => j == k ? 1 : errors[j] > 0 && errors[k] > 0 ? covariance[j, k] / (errors[j] * errors[k]) : 0).ToArray())];
        return new([.. errors.Select((error, j) => error * scales[j])], isTold, correlations, Sentences(inputs, isTold, correlations));
    }

    private static void MarkUntold(Vector<double> direction, bool[] isTold)
    {
        for (int j = 0; j < isTold.Length; j++) isTold[j] &= Math.Abs(direction[j]) < 0.1;
    }

    private static List<string> Sentences(IReadOnlyList<FitInput> inputs, bool[] isTold, double[][] correlations)
    {
        List<string> texts = [];
        string[] untold = [.. inputs.Where((_, j) => !isTold[j]).Select(input => input.Label)];
        if (untold.Length == 1) texts.Add($"The points tell nothing of the {untold[0]}.");
        if (untold.Length > 1) texts.Add($"The points do not tell these apart: {string.Join(", ", untold)}.");
        for (int j = 0; j < inputs.Count; j++)
        {
            for (int k = j + 1; k < inputs.Count; k++)
            {
                double together = correlations[j][k];
                if (!isTold[j] || !isTold[k] || Math.Abs(together) < MostCorrelated) continue;
                string what = together < 0 ? "more of one is much like more of the other" : "more of one is much like less of the other";
                texts.Add(string.Create(CultureInfo.InvariantCulture, $"The points hardly tell {inputs[j].Label} and {inputs[k].Label} apart (correlation of their errors {together:0.00}): {what}."));
            }
        }
        return texts;
    }
}
