namespace HeatSpread.Solver.Kernels;

/// <summary>The vector kernels as plain loops, one for one: what they must compute, to read and to test against. Same arguments, same layout.</summary>
internal static unsafe class ScalarTwins
{
    /// <summary>Twin of <see cref="ColumnKernels.Relax"/>.</summary>
    public static void Relax(float* x, float* rhs, RowStencil n, float* inverse, float* multiplier, int sheets, int half)
    {
        LateralSum(x, n, null, 0, sheets, half);
        for (var i = 0; rhs != null && i < sheets * half; i++) x[i] += rhs[i];
        SolveInPlace(x, inverse, multiplier, sheets, half);
    }

    /// <summary>Twin of <see cref="ColumnKernels.Solve"/>.</summary>
    public static void Solve(float* x, float* rhs, float* extra, float* inverse, float* multiplier, int sheets, int half)
    {
        for (var i = 0; i < sheets * half; i++) x[i] = rhs[i] + (extra == null ? 0 : extra[i]);
        SolveInPlace(x, inverse, multiplier, sheets, half);
    }

    /// <summary>Twin of <see cref="ColumnKernels.LateralSum"/>.</summary>
    public static void LateralSum(float* target, RowStencil n, float* addend, float sign, int sheets, int half)
    {
        for (var i = 0; i < sheets * half; i++)
        {
            var sum = (n.West[i] * n.WestValue[i]) + (n.East[i] * n.EastValue[i]) + (n.North[i] * n.NorthValue[i]) + (n.South[i] * n.SouthValue[i]);
            target[i] = addend == null ? sum : sum + (sign * addend[i]);
        }
    }

    /// <summary>Twin of <see cref="ColumnKernels.SubtractRelaxed"/>.</summary>
    public static void SubtractRelaxed(float* x, RowStencil n, float* inverse, float* multiplier, int sheets, int half)
    {
        var relaxed = new float[sheets * half];
        fixed (float* r = relaxed) Relax(r, null, n, inverse, multiplier, sheets, half);
        for (var i = 0; i < relaxed.Length; i++) x[i] -= relaxed[i];
    }

    /// <summary>Twin of <see cref="CompactRow.Round"/>, without the 16 bits: ten binary digits of each, halves away from zero.</summary>
    public static void Round(float* conductance, int length)
    {
        for (var i = 0; i < length; i++)
        {
            if (conductance[i] == 0) continue;
            var digit = Math.ScaleB(1, Math.ILogB(conductance[i]) - 9);
            conductance[i] = (float)(Math.Floor((conductance[i] / digit) + 0.5) * digit);
        }
    }

    /// <summary>Twin of <see cref="ColumnKernels.Factor"/>.</summary>
    public static void Factor(float* inverse, float* multiplier, float* sink, RowStencil n, int sheets, int half)
    {
        for (var h = 0; h < half; h++)
        {
            var fromAbove = 0f;
            for (int s = 0, i = h; s < sheets; s++, i += half)
            {
                var elsewhere = fromAbove + sink[i] + n.West[i] + n.East[i] + n.North[i] + n.South[i];
                var vertical = s + 1 < sheets ? multiplier[i] : 0;
                inverse[i] = elsewhere + vertical > ColumnKernels.LeastPivot ? 1 / (elsewhere + vertical) : 0;
                multiplier[i] = vertical * inverse[i];
                fromAbove = multiplier[i] * elsewhere;
            }
        }
    }

    /// <summary>Twin of <see cref="TransferKernels.Restrict"/>.</summary>
    public static void Restrict(float* coarse, float* residual, float* weight, int rowStride, int half)
    {
        for (var h = 0; h < half; h++)
        {
            coarse[h] = (weight[h] * residual[h]) + ((1 - weight[h - 1]) * residual[h - 1])
                + (weight[rowStride + h] * residual[rowStride + h]) + ((1 - weight[h - rowStride]) * residual[h - rowStride]);
        }
    }

    /// <summary>Twin of <see cref="TransferKernels.Prolong"/>.</summary>
    public static void Prolong(float* x, float* weight, float* first, float* second, int half)
    {
        for (var h = 0; h < half; h++) x[h] += (weight[h] * first[h]) + ((1 - weight[h]) * second[h]);
    }

    /// <summary>Twin of <see cref="TransferKernels.Split"/>.</summary>
    public static void Split(float* even, float* odd, float* natural, int columns)
    {
        for (var x = 0; x < columns; x++) ((x & 1) == 0 ? even : odd)[x >> 1] = natural[x];
    }

    /// <summary>Twin of <see cref="TransferKernels.Join"/>.</summary>
    public static void Join(float* natural, float* even, float* odd, int columns)
    {
        for (var x = 0; x < columns; x++) natural[x] = ((x & 1) == 0 ? even : odd)[x >> 1];
    }

    /// <summary>Twin of <see cref="VectorKernels.Dot(float*, float*, int)"/>.</summary>
    public static double Dot(float* a, float* b, int length)
    {
        var sum = 0.0;
        for (var i = 0; i < length; i++) sum += (double)a[i] * b[i];
        return sum;
    }

    /// <summary>Twin of <see cref="VectorKernels.Dot(ReadOnlySpan{double}, ReadOnlySpan{double})"/>.</summary>
    public static double Dot(ReadOnlySpan<double> a, ReadOnlySpan<double> b)
    {
        var sum = 0.0;
        for (var i = 0; i < a.Length; i++) sum += a[i] * b[i];
        return sum;
    }

    /// <summary>Twin of <see cref="VectorKernels.AllFinite"/>.</summary>
    public static bool AllFinite(ReadOnlySpan<double> values)
    {
        foreach (var value in values)
        {
            if (!double.IsFinite(value)) return false;
        }

        return true;
    }

    /// <summary>Twin of <see cref="VectorKernels.Subtract"/>.</summary>
    public static void Subtract(Span<double> x, ReadOnlySpan<double> a, double factor)
    {
        for (var i = 0; i < a.Length; i++) x[i] -= factor * a[i];
    }

    /// <summary>Twin of <see cref="VectorKernels.Advance"/>.</summary>
    public static void Advance(float* p, float* q, float* e, float* r, float* z, float* az, float beta, float alpha, bool isFirst, int length)
    {
        for (var i = 0; i < length; i++)
        {
            p[i] = z[i] + (beta * p[i]);
            q[i] = az[i] + (beta * q[i]);
            e[i] = (isFirst ? 0 : e[i]) + (alpha * p[i]);
            if (r != null) r[i] -= alpha * q[i];
        }
    }

    /// <summary>Twin of <see cref="VectorKernels.Multiply"/>.</summary>
    public static Products Multiply(float* residual, float* preconditioned, float* newImage, float* direction, float* image, int length)
    {
        Products sum = default;
        for (var i = 0; i < length; i++) sum.Add(Products.Of(residual[i], preconditioned[i], newImage[i], direction[i], image[i]));
        return sum;
    }

    /// <summary>Twin of <see cref="TransferKernels.AddJoined"/>.</summary>
    public static void AddJoined(double* target, float* even, float* odd, int columns)
    {
        for (var x = 0; x < columns; x++) target[x] += ((x & 1) == 0 ? even : odd)[x >> 1];
    }

    private static void SolveInPlace(float* x, float* inverse, float* multiplier, int sheets, int half)
    {
        for (var h = 0; h < half; h++)
        {
            for (var s = 1; s < sheets; s++) x[(s * half) + h] += multiplier[((s - 1) * half) + h] * x[((s - 1) * half) + h];
            for (var s = sheets - 1; s >= 0; s--)
            {
                var i = (s * half) + h;
                x[i] = (x[i] * inverse[i]) + (s + 1 < sheets ? multiplier[i] * x[i + half] : 0);
            }
        }
    }
}
