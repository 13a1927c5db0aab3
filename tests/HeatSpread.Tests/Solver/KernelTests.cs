using System.Runtime.Intrinsics;
using HeatSpread.Solver;
using HeatSpread.Solver.Kernels;
using HeatSpread.Solver.Multigrid;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>Each vector kernel against its scalar twin. <see cref="InstructionSetTests"/> runs these again with vector instructions switched off.</summary>
public unsafe class KernelTests
{
    private const int Sheets = 7, Half = 48, Length = Sheets * Half, Margin = 512;

    private static float[] Numbers(int seed, float low, float high, int length = Length)
    {
        var random = new Random(seed);
        return [.. Enumerable.Range(0, length + (2 * Margin)).Select(_ => low + ((high - low) * random.NextSingle()))];
    }

    private static void AssertClose(float[] expected, float[] actual, float scale = 1)
    {
        for (var i = 0; i < expected.Length; i++) Assert.True(Math.Abs(expected[i] - actual[i]) <= 2e-5f * scale * (1 + Math.Abs(expected[i])), $"at {i}: {expected[i]} and {actual[i]}");
    }

    private delegate void Kernel(float* target, float* a, float* b, float* c, RowStencil stencil);

    /// <summary>Runs both on equal random arrays, each starting at an odd place, and compares all of the targets.</summary>
    private static void Compare(Kernel vector, Kernel scalar)
    {
        float[] one = Numbers(1, -1, 1), two = Numbers(1, -1, 1), a = Numbers(2, -1, 1), b = Numbers(3, 0.1f, 0.4f), c = Numbers(4, 0.1f, 0.9f), g = Numbers(5, 0, 1), v = Numbers(6, -1, 1);
        fixed (float* p = one, q = two, pa = a, pb = b, pc = c, pg = g, pv = v)
        {
            var stencil = new RowStencil(pg + 5, pv + Margin - 1, pg + 16, pv + Margin, pg + 100, pv + Margin + 64, pg + 131, pv + Margin - 64);
            vector(p + Margin, pa + Margin, pb + Margin, pc + Margin, stencil);
            scalar(q + Margin, pa + Margin, pb + Margin, pc + Margin, stencil);
        }

        AssertClose(two, one);
    }

    [Fact]
    public void Relax()
    {
        Compare((x, r, i, m, n) => ColumnKernels.Relax(x, r, n.Full, i, m, Sheets, Half), (x, r, i, m, n) => ScalarTwins.Relax(x, r, n, i, m, Sheets, Half));
        Compare((x, _, i, m, n) => ColumnKernels.Relax(x, null, n.Full, i, m, Sheets, Half), (x, _, i, m, n) => ScalarTwins.Relax(x, null, n, i, m, Sheets, Half));
        Compare((x, r, i, m, n) => ColumnKernels.Relax(x, r, n.Full, i, m, 1, Half), (x, r, i, m, n) => ScalarTwins.Relax(x, r, n, i, m, 1, Half));
    }

    [Fact]
    public void Solve()
    {
        Compare((x, r, i, m, _) => ColumnKernels.Solve(x, r, null, i, m, Sheets, Half), (x, r, i, m, _) => ScalarTwins.Solve(x, r, null, i, m, Sheets, Half));
        Compare((x, r, i, m, _) => ColumnKernels.Solve(x, r, m, i, m, Sheets, Half), (x, r, i, m, _) => ScalarTwins.Solve(x, r, m, i, m, Sheets, Half));
    }

    /// <summary>Rows of more columns than the kernels take side by side.</summary>
    [Fact]
    public void WideRows()
    {
        const int wide = 1024 + 1024 + 16, sheets = 3, length = wide * sheets;
        float[] one = new float[length], two = new float[length], other = new float[length], twin = new float[length];
        float[] a = Numbers(2, -1, 1, length), b = Numbers(3, 0.1f, 0.4f, length), c = Numbers(4, 0.1f, 0.9f, length), g = Numbers(5, 0, 1, length);
        fixed (float* p = one, q = two, o = other, t = twin, r = a, i = b, m = c, pg = g)
        {
            var n = new RowStencil(pg + 5, r + 3, pg + 16, r + 4, pg + 100, r + 64, pg + 131, r + 30);
            ColumnKernels.Relax(p, r, n.Full, i, m, sheets, wide);
            ScalarTwins.Relax(q, r, n, i, m, sheets, wide);
            ColumnKernels.Solve(o, r, null, i, m, sheets, wide);
            ScalarTwins.Solve(t, r, null, i, m, sheets, wide);
        }

        AssertClose(two, one);
        AssertClose(twin, other);
    }

    /// <summary>Every row's residual and flow to the sink against sums over each cell's links, where some rows have a way to the sink and others have none.</summary>
    [Theory]
    [InlineData(true)]
    [InlineData(false)]
    public void TrueResidualOfRows(bool inDouble)
    {
        const int columns = 37, rows = 3, sheets = 3, plane = columns * rows;
        var grid = inDouble ? new ConductanceGrid(new DoubleConductances(columns, rows, sheets)) : new ConductanceGrid(columns, rows, sheets);
        var random = new Random(7);
        double[] sink = new double[grid.CellCount], east = new double[grid.CellCount], north = new double[grid.CellCount], below = new double[grid.CellCount], heat = new double[grid.CellCount], temperature = new double[grid.CellCount];
        for (var i = 0; i < grid.CellCount; i++)
        {
            int x = i % columns, y = i % plane / columns, s = i / plane;
            double Some(bool isThere) => isThere ? inDouble ? random.NextDouble() : random.NextSingle() : 0;
            (east[i], north[i], below[i], sink[i]) = (Some(x + 1 < columns), Some(y + 1 < rows), Some(s + 1 < sheets), Some(s == 0 || y == 2));
            (heat[i], temperature[i]) = (random.NextDouble(), random.NextDouble());
            (grid.East[i], grid.North[i], grid.Below[i], grid.ToSink[i]) = ((float)east[i], (float)north[i], (float)below[i], (float)sink[i]);
            if (grid.Exact is { } exact) (exact.East[i], exact.North[i], exact.Below[i], exact.ToSink[i]) = (east[i], north[i], below[i], sink[i]);
        }

        double[] sinkOfRow = [.. sink.Chunk(columns).Select(row => row.Sum())];
        var network = new Conductances(columns, rows, sheets, columns, plane, grid.East, grid.North, grid.Below, grid.ToSink, []) { Exact = grid.Exact, SinkOfRow = sinkOfRow };
        double[] residual = new double[columns], unheated = new double[columns];
        for (var at = 0; at < rows * sheets; at++)
        {
            var flow = 0.0;
            fixed (double* h = heat, t = temperature, r = residual)
            {
                TrueResidual.Row(network, h, t, 0.3, at / rows, at % rows, r);
                flow = TrueResidual.FlowToSink(network, t, at / rows, at % rows);
            }

            Assert.Equal(Enumerable.Range(at * columns, columns).Sum(i => sink[i] * temperature[i]), flow, 1e-13);
            for (var x = 0; x < columns; x++)
            {
                var i = (at * columns) + x;
                double Before(double[] g, int step) => i >= step && g[i - step] > 0 ? g[i - step] * (temperature[i - step] - temperature[i]) : 0;
                double After(double[] g, int step) => g[i] > 0 ? g[i] * (temperature[i + step] - temperature[i]) : 0;
                var expected = heat[i] - (sink[i] * (temperature[i] + 0.3)) + Before(east, 1) + After(east, 1) + Before(north, columns) + After(north, columns) + Before(below, plane) + After(below, plane);
                Assert.Equal(expected, residual[x], 1e-14);
                unheated[x] = expected - heat[i];
            }

            fixed (double* t = temperature, r = residual) TrueResidual.Row(network, null, t, 0.3, at / rows, at % rows, r);
            for (var x = 0; x < columns; x++) Assert.Equal(unheated[x], residual[x], 1e-14);
        }
    }

    [Fact]
    public void SubtractRelaxed()
    {
        Compare((x, _, i, m, n) => ColumnKernels.SubtractRelaxed(x, n.Full, i, m, Sheets, Half), (x, _, i, m, n) => ScalarTwins.SubtractRelaxed(x, n, i, m, Sheets, Half));
        Compare((x, _, i, m, n) => ColumnKernels.SubtractRelaxed(x, n.Full, i, m, 1, Half), (x, _, i, m, n) => ScalarTwins.SubtractRelaxed(x, n, i, m, 1, Half));
    }

    /// <summary>Read from 16 bits, the kernels give the bits that they give for the rounded conductances in single precision.</summary>
    [Fact]
    public void CompactConductancesAreTheRoundedOnes()
    {
        const float unit = 2;
        float[] g = Numbers(5, 0, 1), a = Numbers(2, -1, 1), b = Numbers(3, 0.1f, 0.4f), c = Numbers(4, 0.1f, 0.9f), v = Numbers(6, -1, 1);
        for (var i = 0; i < g.Length; i += 7) g[i] = 0;
        var compact = new ushort[g.Length];
        float[][] full = [.. Enumerable.Range(0, 5).Select(_ => Numbers(1, -1, 1))], half = [.. Enumerable.Range(0, 5).Select(_ => Numbers(1, -1, 1))];
        fixed (float* pg = g, pa = a, pb = b, pc = c, pv = v)
        {
            fixed (ushort* ph = compact)
            {
                CompactRow.Round(pg, ph, unit, g.Length / 16 * 16);
                var n = new RowStencil(pg + 5, pv + Margin - 1, pg + 16, pv + Margin, pg + 100, pv + Margin + 64, pg + 131, pv + Margin - 64).Full;
                var m = new RowStencil<CompactRow>(new(ph + 5), n.WestValue, new(ph + 16), n.EastValue, new(ph + 100), n.NorthValue, new(ph + 131), n.SouthValue, unit);
                fixed (float* p0 = full[0], p1 = full[1], p2 = full[2], p3 = full[3], p4 = full[4], q0 = half[0], q1 = half[1], q2 = half[2], q3 = half[3], q4 = half[4])
                {
                    ColumnKernels.Relax(p0, pa, n, pb, pc, Sheets, Half);
                    ColumnKernels.Relax(q0, pa, m, pb, pc, Sheets, Half);
                    ColumnKernels.SubtractRelaxed(p1, n, pb, pc, Sheets, Half);
                    ColumnKernels.SubtractRelaxed(q1, m, pb, pc, Sheets, Half);
                    ColumnKernels.LateralSum(p2, n, pa, -1, Sheets, Half);
                    ColumnKernels.LateralSum(q2, m, pa, -1, Sheets, Half);
                    ColumnKernels.Relax(p3, null, n, pb, pc, Sheets, Half);
                    ColumnKernels.Relax(q3, null, m, pb, pc, Sheets, Half);
                    ColumnKernels.LateralSum(p4, n, null, 0, Sheets, Half);
                    ColumnKernels.LateralSum(q4, m, null, 0, Sheets, Half);
                }
            }
        }

        for (var k = 0; k < full.Length; k++)
        {
            Assert.Equal(full[k], half[k]);
            Assert.NotEqual(Numbers(1, -1, 1), full[k]);
        }
    }

    [Theory]
    [InlineData(200, 1, 1, true)]
    [InlineData(199, 1, 1, false)]
    [InlineData(200, 7.5231638e-37f, 1, true)] // 2^-120
    [InlineData(200, 7.5231638e-37f, 2, false)]
    [InlineData(200, 1e30f, 1e30f, true)]
    [InlineData(200, 1e31f, 1e31f, false)]
    [InlineData(200, 1e-31f, 1e-31f, false)]
    [InlineData(200, float.PositiveInfinity, 0, false)]
    public void CompactWhereSixteenBitsWillDo(int rows, float least, float greatest, bool isCompact) =>
        Assert.Equal(isCompact, CompactConductances.For(new(least, greatest), new(250, rows, 2), new(1 << 20)) != null);

    [Theory]
    [InlineData(0)]
    [InlineData(100)]
    [InlineData(-100)]
    public void RoundTo16Bits(int greatestExponent)
    {
        var random = new Random(3);
        var greatest = MathF.ScaleB(1.9999f, greatestExponent);
        var orders = Math.Min(CompactRow.Orders, greatestExponent + 120);
        float[] given = [0, greatest, MathF.ScaleB(1, greatestExponent - orders), .. Enumerable.Range(0, 509).Select(_ => MathF.ScaleB(1 + (0.9999f * random.NextSingle()), greatestExponent - random.Next(orders + 1)))];
        float[] rounded = [.. given], twin = [.. given];
        var compact = new ushort[given.Length];
        var unit = MathF.ScaleB(1, greatestExponent - CompactRow.GreatestExponent);
        fixed (float* p = rounded, q = twin)
        {
            fixed (ushort* c = compact)
            {
                CompactRow.Round(p, c, unit, given.Length);
                for (var i = 0; i < given.Length; i += 16) Assert.Equal(Vector512.Create(rounded, i), new CompactRow(c).Sixteen(i) * unit);
            }

            ScalarTwins.Round(q, given.Length);
        }

        Assert.Equal(twin, rounded);
        for (var i = 0; i < given.Length; i++) Assert.True(Math.Abs(given[i] - rounded[i]) <= given[i] / 1024, $"{given[i]} became {rounded[i]}");
    }

    [Fact]
    public void LateralSum()
    {
        Compare((x, _, _, _, n) => ColumnKernels.LateralSum(x, n.Full, null, 0, Sheets, Half), (x, _, _, _, n) => ScalarTwins.LateralSum(x, n, null, 0, Sheets, Half));
        Compare((x, _, _, _, n) => ColumnKernels.LateralSum(x, n.Full, x, -1, Sheets, Half), (x, _, _, _, n) => ScalarTwins.LateralSum(x, n, x, -1, Sheets, Half));
        Compare((x, a, _, _, n) => ColumnKernels.LateralSum(x, n.Full, a, 1, Sheets, Half), (x, a, _, _, n) => ScalarTwins.LateralSum(x, n, a, 1, Sheets, Half));
    }

    [Fact]
    public void FactorWithAbsentCells()
    {
        float[] inverse = new float[Length], inverseTwin = new float[Length], multiplier = Numbers(7, 0, 1)[..Length], sink = Numbers(8, 0, 0.1f)[..Length], g = Numbers(9, 0, 1);
        for (var s = 0; s < Sheets; s++)
        {
            // The last eight columns are absent: no conductance of any kind.
            foreach (var a in new[] { multiplier, sink }) a.AsSpan((s * Half) + 40, 8).Clear();
            g.AsSpan((s * Half) + 40, 8).Clear();
        }

        var multiplierTwin = (float[])multiplier.Clone();
        fixed (float* i = inverse, j = inverseTwin, m = multiplier, k = multiplierTwin, q = sink, pg = g)
        {
            var n = new RowStencil(pg, null, pg, null, pg, null, pg, null);
            ColumnKernels.Factor(i, m, q, n, Sheets, Half);
            ScalarTwins.Factor(j, k, q, n, Sheets, Half);
        }

        AssertClose(inverseTwin, inverse);
        AssertClose(multiplierTwin, multiplier);
        Assert.Equal(0, inverse[40]);
        Assert.True(inverse[39] > 0);
    }

    [Fact]
    public void RestrictAndProlong()
    {
        Compare((x, r, _, w, _) => TransferKernels.Restrict(x, r, w, 96, Half), (x, r, _, w, _) => ScalarTwins.Restrict(x, r, w, 96, Half));
        Compare((x, a, b, w, _) => TransferKernels.Prolong(x, w, a, b, Half), (x, a, b, w, _) => ScalarTwins.Prolong(x, w, a, b, Half));
    }

    [Theory]
    [InlineData(1)]
    [InlineData(31)]
    [InlineData(32)]
    [InlineData(65)]
    [InlineData(96)]
    public void SplitAndJoin(int columns)
    {
        Compare((x, a, _, _, _) => TransferKernels.Split(x, x + 100, a, columns), (x, a, _, _, _) => ScalarTwins.Split(x, x + 100, a, columns));
        Compare((x, a, b, _, _) => TransferKernels.Join(x, a, b, columns), (x, a, b, _, _) => ScalarTwins.Join(x, a, b, columns));
    }

    [Theory]
    [InlineData(false, true)]
    [InlineData(true, true)]
    [InlineData(false, false)]
    public void AdvanceChangesThreeOrFourVectors(bool isFirst, bool withResidual)
    {
        const int Length = 112;
        Compare(
            (x, z, az, _, _) => VectorKernels.Advance(x, x + Length, x + (2 * Length), withResidual ? x - Length : null, z, az, 0.3f, -0.7f, isFirst, Length),
            (x, z, az, _, _) => ScalarTwins.Advance(x, x + Length, x + (2 * Length), withResidual ? x - Length : null, z, az, 0.3f, -0.7f, isFirst, Length));
    }

    /// <summary>Memory that was something else's before may hold no numbers.</summary>
    [Fact]
    public void FirstAdvanceNeedsNoCorrection()
    {
        float[] e = [.. Enumerable.Repeat(float.NaN, 16)], p = Numbers(1, -1, 1, 16), q = Numbers(2, -1, 1, 16), z = Numbers(3, -1, 1, 16);
        fixed (float* pe = e, pp = p, pq = q, pz = z) VectorKernels.Advance(pp, pq, pe, null, pz, pz, 0.3f, -0.7f, isFirst: true, 16);
        for (var i = 0; i < e.Length; i++) Assert.Equal(-0.7f * p[i], e[i], 1e-6f);
    }

    /// <summary>What the nodes are told of the residual before a pass changes it, to the last bit: much cancels in it.</summary>
    [Fact]
    public void NodesKnowTheNextResidualAsItWillBe()
    {
        var grid = RandomNetwork.Board(new Random(5), 60, 50, 4, parts: 8);
        using var solver = MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken);
        var level = solver.Levels!.Levels[0];
        int length = level.Shape.Length / 16 * 16, nodes = level.Nodes!.Count;
        float[] r = Numbers(1, -1, 1, length), z = Numbers(2, -1, 1, length), az = Numbers(3, -1, 1, length), p = Numbers(4, -1, 1, length), q = Numbers(5, -1, 1, length), e = Numbers(6, -1, 1, length);
        double[] rhs = [.. Enumerable.Range(0, nodes).Select(i => Math.Sin(i))], before = new double[nodes], foretold = new double[nodes], after = new double[nodes];
        fixed (float* pr = r, pz = z, paz = az, pp = p, pq = q, pe = e)
        {
            level.Nodes.TakeBasisResidual(rhs, null, pr, before);
            level.Nodes.TakeBasisResidual(rhs, pr, paz, pq, 0.3f, -0.7f, foretold);
            VectorKernels.Advance(pp, pq, pe, pr, pz, paz, 0.3f, -0.7f, isFirst: false, length);
            level.Nodes.TakeBasisResidual(rhs, null, pr, after);
        }

        Assert.Equal(after, foretold);
        Assert.NotEqual(after, before);
    }

    [Fact]
    public void AllProducts()
    {
        float[] a = Numbers(1, -1, 1), b = Numbers(2, -1, 1);
        fixed (float* p = a, q = b)
        {
            Products one = VectorKernels.Multiply(p, q, p + 3, q + 5, p + 7, Length), two = ScalarTwins.Multiply(p, q, p + 3, q + 5, p + 7, Length);
            foreach (var field in typeof(Products).GetFields()) Assert.Equal((double)field.GetValue(two)!, (double)field.GetValue(one)!, 1e-5);
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(7)]
    [InlineData(8)]
    [InlineData(15)]
    [InlineData(16)]
    [InlineData(53)]
    public void NarrowWithSquares(int count)
    {
        double[] values = [.. Enumerable.Range(0, count).Select(k => Math.Sin(k + 0.1))];
        var narrow = new float[count + 1];
        narrow[count] = 3;
        var squares = 0.0;
        fixed (double* v = values)
        {
            fixed (float* n = narrow) squares = TransferKernels.NarrowWithSquares(n, v, count);
        }

        Assert.Equal(values.Sum(v => v * v), squares, 1e-12);
        float[] expected = [.. values.Select(v => (float)v), 3];
        Assert.Equal(expected, narrow);
    }

    /// <summary>Rows that are packed in several stretches, of either parity, the last one short and odd.</summary>
    [Theory]
    [InlineData(4099)]
    [InlineData(2048)]
    [InlineData(31)]
    public void PackedRows(int columns)
    {
        const int rows = 3, sheets = 2;
        var grid = new ConductanceGrid(columns, rows, sheets);
        for (var i = 0; i < grid.CellCount; i++)
        {
            int x = i % columns, y = i / columns % rows, s = i / columns / rows;
            (grid.East[i], grid.North[i], grid.Below[i], grid.ToSink[i]) = (x + 1 < columns ? 1 + i : 0, y + 1 < rows ? 2.5f + i : 0, s + 1 < sheets ? 3.25f + i : 0, i + 0.5f);
        }

        var network = new Conductances(columns, rows, sheets, columns, columns * rows, grid.East, grid.North, grid.Below, grid.ToSink, []);
        var shape = new Shape(columns, rows, sheets);
        var level = new Level(shape, new ScratchPool(0));
        AlignedFloats[] sink = [new(shape.Length), new(shape.Length)];
        for (var row = 0; row < rows; row++) LevelPacking.Pack(network, level, sink, row);
        for (var i = 0; i < grid.CellCount; i++)
        {
            int x = i % columns, y = i / columns % rows, s = i / columns / rows, color = Shape.ColorOf(x, y), at = shape.ColumnStart(x, y) + (s * shape.Half);
            float[] expected = [grid.East[i], x > 0 ? grid.East[i - 1] : 0, grid.North[i], y > 0 ? grid.North[i - columns] : 0, grid.Below[i], grid.ToSink[i]];
            float[] packed = [*level.LateralPlace(x, y, 1, 0, s), *level.LateralPlace(x, y, -1, 0, s), *level.LateralPlace(x, y, 0, 1, s), *level.LateralPlace(x, y, 0, -1, s), level.Multiplier[color].Pointer[at], sink[color].Pointer[at]];
            Assert.Equal(expected, packed);
        }
    }

    [Theory]
    [InlineData(5)]
    [InlineData(64)]
    [InlineData(77)]
    public void AddJoined(int columns)
    {
        float[] even = Numbers(1, -1, 1), odd = Numbers(2, -1, 1);
        double[] one = new double[columns + 1], two = new double[columns + 1];
        Array.Fill(one, 3);
        Array.Fill(two, 3);
        fixed (float* e = even, o = odd)
        {
            fixed (double* p = one, q = two)
            {
                TransferKernels.AddJoined(p, e, o, columns);
                ScalarTwins.AddJoined(q, e, o, columns);
            }
        }

        Assert.Equal(two, one);
    }

    [Fact]
    public void Sums()
    {
        float[] a = Numbers(1, -1, 1), b = Numbers(2, -1, 1);
        fixed (float* p = a, q = b)
        {
            for (var length = 16; length <= Length; length += 16) Assert.Equal(ScalarTwins.Dot(p, q, length), VectorKernels.Dot(p, q, length), 1e-5);
        }
    }

    [Theory]
    [InlineData(1)]
    [InlineData(8)]
    [InlineData(15)]
    [InlineData(16)]
    [InlineData(53)]
    public void InDouble(int length)
    {
        double[] a = [.. Numbers(1, -1, 1).Take(length).Select(v => (double)v)], x = [.. Numbers(2, -1, 1).Take(length).Select(v => (double)v)], twin = [.. x];
        Assert.Equal(ScalarTwins.Dot(a, x), VectorKernels.Dot(a, x), 1e-14 * length);
        VectorKernels.Subtract(x, a, 0.3);
        ScalarTwins.Subtract(twin, a, 0.3);
        for (var i = 0; i < length; i++) Assert.Equal(twin[i], x[i], 1e-15);
        Assert.Equal(a.Sum(), VectorKernels.Sum(a), 1e-14 * length);
        Assert.Equal(a.Sum(), VectorKernels.Sum(Array.ConvertAll(a, v => (float)v)), 1e-14 * length);
        Assert.True(VectorKernels.AllFinite(x) && ScalarTwins.AllFinite(x));
        foreach (var bad in new[] { double.NaN, double.PositiveInfinity, double.NegativeInfinity })
        {
            for (var i = 0; i < length; i++)
            {
                double[] harmed = [.. x];
                harmed[i] = bad;
                Assert.False(VectorKernels.AllFinite(harmed) || ScalarTwins.AllFinite(harmed));
            }
        }
    }

    [Fact]
    public void RunsWithTheInstructionsAskedFor()
    {
        if (Environment.GetEnvironmentVariable("DOTNET_EnableAVX512") == "0") Assert.False(Vector512.IsHardwareAccelerated);
        if (Environment.GetEnvironmentVariable("DOTNET_EnableAVX2") == "0") Assert.False(Vector256.IsHardwareAccelerated);
    }
}
