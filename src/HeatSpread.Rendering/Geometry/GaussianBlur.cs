using System.Numerics;

namespace HeatSpread.Rendering;

/// <summary>Separable Gaussian smoothing of an image of numbers.</summary>
internal static class GaussianBlur
{
    /// <param name="values"><c>[row * width + column]</c>, finite.</param>
    /// <param name="width">Columns.</param>
    /// <param name="height">Rows.</param>
    /// <param name="sigma">Standard deviation in pixels, at least 0.</param>
    public static float[] Apply(float[] values, int width, int height, float sigma)
    {
        const float least = 0.3f; // below this the kernel is one pixel
        if (sigma < least) return values;
        var kernel = Kernel(sigma);
        var across = new float[values.Length];
        var result = new float[values.Length];
        var padded = new float[width + kernel.Length - 1];
        for (int y = 0; y < height; y++) AlongRow(values.AsSpan(y * width, width), across.AsSpan(y * width, width), kernel, padded);
        for (int y = 0; y < height; y++) AcrossRows(across, result.AsSpan(y * width, width), y, width, height, kernel);
        return result;
    }

    private static float[] Kernel(float sigma)
    {
        int reach = (int)MathF.Ceiling(3 * sigma);
        var kernel = new float[2 * reach + 1];
        for (int i = 0; i < kernel.Length; i++) kernel[i] = MathF.Exp(-0.5f * (i - reach) * (i - reach) / (sigma * sigma));
        float sum = kernel.Sum();
        return Array.ConvertAll(kernel, k => k / sum);
    }

    private static void AlongRow(ReadOnlySpan<float> from, Span<float> to, float[] kernel, Span<float> padded)
    {
        int reach = kernel.Length / 2;
        padded[..reach].Fill(from[0]);
        from.CopyTo(padded[reach..]);
        padded[(reach + from.Length)..].Fill(from[^1]);
        for (int k = 0; k < kernel.Length; k++) AddScaled(padded.Slice(k, to.Length), kernel[k], to);
    }

    private static void AcrossRows(ReadOnlySpan<float> from, Span<float> to, int y, int width, int height, float[] kernel)
    {
        int reach = kernel.Length / 2;
        for (int k = 0; k < kernel.Length; k++) AddScaled(from.Slice(Math.Clamp(y + k - reach, 0, height - 1) * width, width), kernel[k], to);
    }

    private static void AddScaled(ReadOnlySpan<float> from, float factor, Span<float> to)
    {
        int x = 0;
        for (; x + Vector<float>.Count <= to.Length; x += Vector<float>.Count)
            (new Vector<float>(to[x..]) + new Vector<float>(from[x..]) * factor).CopyTo(to[x..]);
        for (; x < to.Length; x++) to[x] += from[x] * factor;
    }
}
