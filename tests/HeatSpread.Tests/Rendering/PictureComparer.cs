using SkiaSharp;

namespace HeatSpread.Tests.Rendering;

/// <summary>
/// Likeness of two pictures by structural similarity (Z. Wang et al., "Image quality assessment: from error visibility to structural
/// similarity", 2004) in windows of 8 x 8 pixels and in each colour channel. The mean over a picture hides what is wrong in one place, so
/// the worst window is the result.
/// </summary>
internal static class PictureComparer
{
    private const int Window = 8;

    /// <summary>Half a window apart, so that a fault cannot hide across two windows.</summary>
    private const int Stride = 4;

    /// <returns>1 for equal pictures; the likeness and place of the worst window. Pictures of different size have the likeness -1.</returns>
    public static (double Likeness, int X, int Y) WorstWindow(SKBitmap expected, SKBitmap actual)
    {
        if (expected.Width != actual.Width || expected.Height != actual.Height) return (-1, 0, 0);
        SKColor[] a = expected.Pixels, b = actual.Pixels;
        var worst = (Likeness: 1.0, X: 0, Y: 0);
        for (int y = 0; y + Window <= expected.Height; y += Stride)
        {
            for (int x = 0; x + Window <= expected.Width; x += Stride)
            {
                foreach (var channel in (Func<SKColor, double>[])[c => c.Red, c => c.Green, c => c.Blue, c => c.Alpha])
                {
                    double likeness = Similarity(a, b, expected.Width, x, y, channel);
                    if (likeness < worst.Likeness) worst = (likeness, x, y);
                }
            }
        }
        return worst;
    }

    private static double Similarity(SKColor[] a, SKColor[] b, int width, int left, int top, Func<SKColor, double> channel)
    {
        double sumA = 0, sumB = 0, sumAA = 0, sumBB = 0, sumAB = 0;
        for (int y = top; y < top + Window; y++)
        {
            for (int x = left; x < left + Window; x++)
            {
                double p = channel(a[y * width + x]), q = channel(b[y * width + x]);
                sumA += p;
                sumB += q;
                sumAA += p * p;
                sumBB += q * q;
                sumAB += p * q;
            }
        }
        const double n = Window * Window, c1 = 0.01 * 255 * (0.01 * 255), c2 = 0.03 * 255 * (0.03 * 255);
        double meanA = sumA / n, meanB = sumB / n;
        double varianceA = sumAA / n - meanA * meanA, varianceB = sumBB / n - meanB * meanB, covariance = sumAB / n - meanA * meanB;
        return (2 * meanA * meanB + c1) / (meanA * meanA + meanB * meanB + c1) * (2 * covariance + c2) / (varianceA + varianceB + c2);
    }
}
