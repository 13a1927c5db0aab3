using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Kernels;

/// <summary>Loops over plain vectors whose length is a multiple of 16. Sums run in float over at most one row, in double beyond.</summary>
internal static unsafe class VectorKernels
{
    /// <summary>Σ a b.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double Dot(float* a, float* b, int length)
    {
        Vector512<float> sum = default, other = default;
        var i = 0;
        for (; i + 32 <= length; i += 32)
        {
            sum = Vector512.MultiplyAddEstimate(Vector512.Load(a + i), Vector512.Load(b + i), sum);
            other = Vector512.MultiplyAddEstimate(Vector512.Load(a + i + 16), Vector512.Load(b + i + 16), other);
        }

        if (i < length) sum = Vector512.MultiplyAddEstimate(Vector512.Load(a + i), Vector512.Load(b + i), sum);
        return Total(sum + other);
    }

    /// <summary>Σ a b in double, of any length.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        var sum = 0.0;
        var i = 0;
        if (a.Length >= 16)
        {
            Vector512<double> even = default, odd = default;
            for (; i + 16 <= a.Length; i += 16)
            {
                even = Vector512.MultiplyAddEstimate(Vector512.Create(a.Slice(i, 8)), Vector512.Create(b.Slice(i, 8)), even);
                odd = Vector512.MultiplyAddEstimate(Vector512.Create(a.Slice(i + 8, 8)), Vector512.Create(b.Slice(i + 8, 8)), odd);
            }

            sum = Vector512.Sum(even + odd);
        }

        for (; i < a.Length; i++) sum += a[i] * b[i];
        return sum;
    }

    /// <summary>Σ a in double, of any length.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double Sum(ReadOnlySpan<double> a)
    {
        Vector512<double> even = default, odd = default;
        var i = 0;
        for (; i + 16 <= a.Length; i += 16)
        {
            even += Vector512.Create(a.Slice(i, 8));
            odd += Vector512.Create(a.Slice(i + 8, 8));
        }

        var sum = Vector512.Sum(even + odd);
        for (; i < a.Length; i++) sum += a[i];
        return sum;
    }

    /// <summary>Σ a, added in double, of any length.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static double Sum(ReadOnlySpan<float> a)
    {
        Vector512<double> low = default, high = default;
        var i = 0;
        for (; i + 16 <= a.Length; i += 16)
        {
            var (first, second) = Vector512.Widen(Vector512.Create(a.Slice(i, 16)));
            low += first;
            high += second;
        }

        var sum = Vector512.Sum(low + high);
        for (; i < a.Length; i++) sum += a[i];
        return sum;
    }

    /// <summary>x += <paramref name="value"/> in double, of any length.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Add(Span<double> x, double value)
    {
        var added = Vector512.Create(value);
        var i = 0;
        for (; i + 8 <= x.Length; i += 8) (Vector512.Create<double>(x.Slice(i, 8)) + added).CopyTo(x[i..]);
        for (; i < x.Length; i++) x[i] += value;
    }

    /// <summary>Whether all are numbers, and none infinite.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static bool AllFinite(ReadOnlySpan<double> values)
    {
        var i = 0;
        var most = Vector512.Create(double.MaxValue);
        for (; i + 8 <= values.Length; i += 8)
        {
            if (!Vector512.LessThanOrEqualAll(Vector512.Abs(Vector512.Create(values.Slice(i, 8))), most)) return false;
        }

        for (; i < values.Length; i++)
        {
            if (!double.IsFinite(values[i])) return false;
        }

        return true;
    }

    /// <summary>x −= factor × a in double, of any length.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Subtract(Span<double> x, ReadOnlySpan<double> a, double factor)
    {
        var i = 0;
        var minus = Vector512.Create(-factor);
        for (; i + 8 <= a.Length; i += 8) Vector512.MultiplyAddEstimate(minus, Vector512.Create(a.Slice(i, 8)), Vector512.Create<double>(x.Slice(i, 8))).CopyTo(x[i..]);
        for (; i < a.Length; i++) x[i] -= factor * a[i];
    }

    /// <summary>p = z + βp, q = az + βq, e += αp, r −= αq; null in <paramref name="r"/> leaves it as it is. <paramref name="isFirst"/>: e = αp, whatever is in it.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static void Advance(float* p, float* q, float* e, float* r, float* z, float* az, float beta, float alpha, bool isFirst, int length)
    {
        Vector512<float> b = Vector512.Create(beta), a = Vector512.Create(alpha), minus = Vector512.Create(-alpha);
        for (var i = 0; i < length; i += 16)
        {
            Prefetch.Beyond(p + i, q + i, z + i, az + i);
            Prefetch.Beyond(e + i);
            var direction = Vector512.MultiplyAddEstimate(b, Vector512.Load(p + i), Vector512.Load(z + i));
            var image = Vector512.MultiplyAddEstimate(b, Vector512.Load(q + i), Vector512.Load(az + i));
            direction.Store(p + i);
            image.Store(q + i);
            (isFirst ? a * direction : Vector512.MultiplyAddEstimate(a, direction, Vector512.Load(e + i))).Store(e + i);
            if (r == null) continue;
            Prefetch.Beyond(r + i);
            Vector512.MultiplyAddEstimate(minus, image, Vector512.Load(r + i)).Store(r + i);
        }
    }

    /// <summary>All <see cref="Products"/> of five vectors: each half of what the other loops take by itself, as sixteen registers hold no more sums at once, while more terms to a sum would cost digits. What the first half has read is near still.</summary>
    public static Products Multiply(float* residual, float* preconditioned, float* newImage, float* direction, float* image, int length)
    {
        var sum = MultiplyHalves(residual, preconditioned, newImage, direction, image, 0, length);
        sum.Add(MultiplyHalves(residual, preconditioned, newImage, direction, image, Vector256<float>.Count, length));
        return sum;
    }

    /// <summary>Of each sixteen the eight from <paramref name="first"/> on.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static Products MultiplyHalves(float* residual, float* preconditioned, float* newImage, float* direction, float* image, int first, int length)
    {
        Vector256<float> slope = default, energy = default, imageDirection = default, residualDirection = default;
        Vector256<float> residualNewImage = default, residualImage = default, newImageSquare = default, newImageImage = default, square = default, imageSquare = default, curvature = default;
        for (var i = first; i < length; i += 16)
        {
            if (first == 0) Prefetch.Beyond(direction + i, image + i);
            Vector256<float> r = Vector256.Load(residual + i), z = Vector256.Load(preconditioned + i), az = Vector256.Load(newImage + i), p = Vector256.Load(direction + i), q = Vector256.Load(image + i);
            square = Vector256.MultiplyAddEstimate(r, r, square);
            slope = Vector256.MultiplyAddEstimate(r, z, slope);
            energy = Vector256.MultiplyAddEstimate(z, az, energy);
            imageDirection = Vector256.MultiplyAddEstimate(az, p, imageDirection);
            residualDirection = Vector256.MultiplyAddEstimate(r, p, residualDirection);
            residualNewImage = Vector256.MultiplyAddEstimate(r, az, residualNewImage);
            residualImage = Vector256.MultiplyAddEstimate(r, q, residualImage);
            newImageSquare = Vector256.MultiplyAddEstimate(az, az, newImageSquare);
            newImageImage = Vector256.MultiplyAddEstimate(az, q, newImageImage);
            imageSquare = Vector256.MultiplyAddEstimate(q, q, imageSquare);
            curvature = Vector256.MultiplyAddEstimate(p, q, curvature);
        }

        return new()
        {
            Square = Total(square),
            Slope = Total(slope),
            Energy = Total(energy),
            ImageDirection = Total(imageDirection),
            ResidualDirection = Total(residualDirection),
            ResidualNewImage = Total(residualNewImage),
            ResidualImage = Total(residualImage),
            NewImageSquare = Total(newImageSquare),
            NewImageImage = Total(newImageImage),
            ImageSquare = Total(imageSquare),
            Curvature = Total(curvature),
        };
    }

    private static double Total(Vector256<float> sums)
    {
        var (low, high) = Vector256.Widen(sums);
        return Vector256.Sum(low + high);
    }

    private static double Total(Vector512<float> sums)
    {
        var (low, high) = Vector512.Widen(sums);
        return Vector512.Sum(low + high);
    }
}
