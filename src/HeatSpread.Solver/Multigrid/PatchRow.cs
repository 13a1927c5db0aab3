using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// What the fine cells strictly between four coarse columns give to the coarse network, for one row of such patches. Corners are counted 0 south-west,
/// 1 south-east, 2 north-west, 3 north-east.
/// </summary>
internal sealed unsafe class PatchRow : IDisposable
{
    private readonly ScratchPool _pool;
    private readonly AlignedFloats _owner;

    public PatchRow(Shape shape, ScratchPool pool)
    {
        var length = (shape.RowStride + (2 * Shape.Lanes) + 15) / 16 * 16;
        (_pool, _owner) = (pool, pool.RentAny(12 * length));
        _owner.Span.Clear();
        float*[][] all = [East, North, Below, Sink];
        var next = _owner.Pointer;
        foreach (var group in all)
        {
            for (var k = 0; k < group.Length; k++, next += length) group[k] = next;
        }
    }

    public void Dispose() => _pool.Return(_owner);

    /// <summary>Lateral conductance along the southern and northern side. All arrays: sheet 0, half-index 0 at <see cref="Shape.Lanes"/>.</summary>
    public float*[] East { get; } = new float*[2];

    /// <summary>Lateral conductance along the western and eastern side.</summary>
    public float*[] North { get; } = new float*[2];

    /// <summary>Vertical conductance at each corner.</summary>
    public float*[] Below { get; } = new float*[4];

    /// <summary>Conductance to the sink at each corner.</summary>
    public float*[] Sink { get; } = new float*[4];

    /// <summary>Computes the patches between coarse rows <paramref name="coarseRow"/> and the next.</summary>
    [SkipLocalsInit]
    public void Compute(Level level, AlignedFloats[] sink, int coarseRow)
    {
        var row = (2 * coarseRow) + 1;
        if (row >= level.Shape.Rows)
        {
            _owner.Span.Clear();
            return;
        }

        var sheets = level.Shape.Sheets;
        var weight = stackalloc Corners[sheets];
        var reach = stackalloc Vector512<float>[2 * sheets];
        for (var h = 0; h < level.Shape.Half; h += Shape.Lanes)
        {
            CornerWeights(level, row, h, weight, reach, reach + sheets);
            Accumulate(level, sink[0].Pointer + level.Shape.RowStart(row), row, h, weight, reach);
        }
    }

    /// <summary>The share of each corner in the centre column: its four neighbours by a column solve, times the neighbours' own weights.</summary>
    /// <param name="level">The level.</param>
    /// <param name="row">Odd.</param>
    /// <param name="h">Half-index of the first column.</param>
    /// <param name="weight">One a sheet.</param>
    /// <param name="reach">One a sheet: vertical conductances as the coarse network is to see them.</param>
    /// <param name="inverse">Scratch, one a sheet.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static void CornerWeights(Level level, int row, int h, Corners* weight, Vector512<float>* reach, Vector512<float>* inverse)
    {
        var shape = level.Shape;
        int start = shape.RowStart(row), half = shape.Half, sheets = shape.Sheets;
        float* vertical = level.Multiplier[0].Pointer + start, b = level.Weight.Pointer + start, a = b - shape.RowStride, aNorth = b + shape.RowStride;
        float* southern = vertical - shape.RowStride, northern = vertical + shape.RowStride;
        var n = level.Row(0, row, null);
        Vector512<float> fromAbove = default, west = default, east = default, south = default, north = default, one = Vector512<float>.One;
        for (int s = 0, i = h; s < sheets; s++, i += half)
        {
            Vector512<float> gw = Vector512.Load(n.West + i), ge = Vector512.Load(n.East + i), gs = Vector512.Load(n.South + i), gn = Vector512.Load(n.North + i);
            var elsewhere = fromAbove + ((gw + ge) + (gs + gn));
            var v = Vector512.Load(vertical + i);
            var pivot = elsewhere + v;
            reach[s] = elsewhere;
            inverse[s] = Vector512.GreaterThan(pivot, Vector512.Create(ColumnKernels.LeastPivot)) & (one / pivot);
            (west, east, south, north) = (west + gw, east + ge, south + gs, north + gn);
            weight[s] = new(west, east, south, north);
            var m = v * inverse[s];
            (west, east, south, north) = (west * m, east * m, south * m, north * m);
            fromAbove = m * elsewhere;
        }

        west = east = south = north = default;
        Vector512<float> below = default;
        for (int s = sheets - 1, i = h + (s * half); s >= 0; s--, i -= half)
        {
            var v = Vector512.Load(vertical + i);
            below = Coarsening.InSeries(below, v);
            var coarse = Vector512.Max(Vector512.Max(Vector512.Load(southern + i), Vector512.Load(southern + i + 1)), Vector512.Max(Vector512.Load(northern + i), Vector512.Load(northern + i + 1)));
            reach[s] = Coarsening.Reach(v, Coarsening.InSeries(reach[s], below), coarse);
            below += (Vector512.Load(n.West + i) + Vector512.Load(n.East + i)) + (Vector512.Load(n.South + i) + Vector512.Load(n.North + i));
            var y = weight[s];
            west = (y.SouthWest + v * west) * inverse[s];
            east = (y.SouthEast + v * east) * inverse[s];
            south = (y.NorthWest + v * south) * inverse[s];
            north = (y.NorthEast + v * north) * inverse[s];
            Vector512<float> bw = Vector512.Load(b + i), be = Vector512.Load(b + i + 1), aw = Vector512.Load(a + i), an = Vector512.Load(aNorth + i);
            weight[s] = new(west * bw + south * aw, east * be + south * (one - aw), west * (one - bw) + north * an, east * (one - be) + north * (one - an));
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Accumulate(Level level, float* sink, int row, int h, Corners* weight, Vector512<float>* reach)
    {
        var shape = level.Shape;
        int start = shape.RowStart(row), half = shape.Half;
        float* b = level.Weight.Pointer + start, a = b - shape.RowStride, aNorth = b + shape.RowStride;
        var n = level.Row(0, row, null);
        Sides fromAbove = default;
        for (int s = 0, i = h; s < shape.Sheets; s++, i += half)
        {
            var at = Shape.Lanes + i;
            var w = weight[s];
            Vector512<float> bw = Vector512.Load(b + i), be = Vector512.Load(b + i + 1), aw = Vector512.Load(a + i), an = Vector512.Load(aNorth + i), one = Vector512<float>.One, zero = Vector512<float>.Zero;
            var sides = fromAbove
                .With(Vector512.Load(n.West + i), w - new Corners(bw, zero, one - bw, zero))
                .With(Vector512.Load(n.East + i), w - new Corners(zero, be, zero, one - be))
                .With(Vector512.Load(n.South + i), w - new Corners(aw, one - aw, zero, zero))
                .With(Vector512.Load(n.North + i), w - new Corners(zero, zero, an, one - an));
            (w * Vector512.Load(sink + i)).Store(Sink, at);
            if (s + 1 < shape.Sheets)
            {
                var v = reach[s] * 0.5f;
                ((w + weight[s + 1]) * v).Store(Below, at);
                var shear = w - weight[s + 1];
                sides = sides.With(v, shear);
                fromAbove = default(Sides).With(v, shear);
            }

            sides.South.Store(East[0] + at);
            sides.North.Store(East[1] + at);
            sides.West.Store(North[0] + at);
            sides.East.Store(North[1] + at);
        }
    }

    /// <summary>Couplings of the four corners along the four sides of the patch.</summary>
    private readonly struct Sides(Vector512<float> south, Vector512<float> north, Vector512<float> west, Vector512<float> east)
    {
        public readonly Vector512<float> South = south, North = north, West = west, East = east;

        /// <summary>With the energy g (Σ d T)² of an edge between cells whose shares of the corners differ by d; a diagonal coupling counts half to each of the sides.</summary>
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public Sides With(Vector512<float> g, Corners d)
        {
            var diagonal = 0.5f * (d.SouthWest * d.NorthEast + d.SouthEast * d.NorthWest);
            return new(
                South - g * (d.SouthWest * d.SouthEast + diagonal),
                North - g * (d.NorthWest * d.NorthEast + diagonal),
                West - g * (d.SouthWest * d.NorthWest + diagonal),
                East - g * (d.SouthEast * d.NorthEast + diagonal));
        }
    }

    private readonly struct Corners(Vector512<float> southWest, Vector512<float> southEast, Vector512<float> northWest, Vector512<float> northEast)
    {
        public readonly Vector512<float> SouthWest = southWest, SouthEast = southEast, NorthWest = northWest, NorthEast = northEast;

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public void Store(float*[] to, int at)
        {
            SouthWest.Store(to[0] + at);
            SouthEast.Store(to[1] + at);
            NorthWest.Store(to[2] + at);
            NorthEast.Store(to[3] + at);
        }

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public static Corners operator -(Corners x, Corners y) => new(x.SouthWest - y.SouthWest, x.SouthEast - y.SouthEast, x.NorthWest - y.NorthWest, x.NorthEast - y.NorthEast);

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public static Corners operator +(Corners x, Corners y) => new(x.SouthWest + y.SouthWest, x.SouthEast + y.SouthEast, x.NorthWest + y.NorthWest, x.NorthEast + y.NorthEast);

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public static Corners operator *(Corners x, Vector512<float> f) => new(x.SouthWest * f, x.SouthEast * f, x.NorthWest * f, x.NorthEast * f);
    }
}
