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

    /// <summary>In halves of what the other loops take: what it holds at once nearly fits into sixteen registers then, and without AVX-512 no function need be called for each sum.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Accumulate(Level level, float* sink, int row, int h, Corners* weights, Vector512<float>* reach)
    {
        var shape = level.Shape;
        int start = shape.RowStart(row), half = shape.Half;
        float* b = level.Weight.Pointer + start, a = b - shape.RowStride, aNorth = b + shape.RowStride;
        var n = level.Row(0, row, null);
        var one = Vector256<float>.One;
        for (var lane = 0; lane < Shape.Lanes; lane += Vector256<float>.Count)
        {
            float* w = (float*)weights + lane, v = (float*)reach + lane;
            Couplings fromAbove = default;
            for (int s = 0, i = h + lane; s < shape.Sheets; s++, i += half, w += 4 * Shape.Lanes, v += Shape.Lanes)
            {
                var at = Shape.Lanes + i;
                Vector256<float> southWest = Vector256.Load(w), southEast = Vector256.Load(w + Shape.Lanes), northWest = Vector256.Load(w + (2 * Shape.Lanes)), northEast = Vector256.Load(w + (3 * Shape.Lanes));
                Vector256<float> bw = Vector256.Load(b + i), be = Vector256.Load(b + i + 1), aw = Vector256.Load(a + i), an = Vector256.Load(aNorth + i);
                var all = fromAbove
                    .With(Vector256.Load(n.West + i), southWest - bw, southEast, northWest - (one - bw), northEast)
                    .With(Vector256.Load(n.East + i), southWest, southEast - be, northWest, northEast - (one - be))
                    .With(Vector256.Load(n.South + i), southWest - aw, southEast - (one - aw), northWest, northEast)
                    .With(Vector256.Load(n.North + i), southWest, southEast, northWest - an, northEast - (one - an));
                var k = Vector256.Load(sink + i);
                (southWest * k).Store(Sink[0] + at);
                (southEast * k).Store(Sink[1] + at);
                (northWest * k).Store(Sink[2] + at);
                (northEast * k).Store(Sink[3] + at);
                if (s + 1 < shape.Sheets)
                {
                    float* next = w + (4 * Shape.Lanes);
                    Vector256<float> nextSouthWest = Vector256.Load(next), nextSouthEast = Vector256.Load(next + Shape.Lanes), nextNorthWest = Vector256.Load(next + (2 * Shape.Lanes)), nextNorthEast = Vector256.Load(next + (3 * Shape.Lanes));
                    var g = Vector256.Load(v) * 0.5f;
                    ((southWest + nextSouthWest) * g).Store(Below[0] + at);
                    ((southEast + nextSouthEast) * g).Store(Below[1] + at);
                    ((northWest + nextNorthWest) * g).Store(Below[2] + at);
                    ((northEast + nextNorthEast) * g).Store(Below[3] + at);
                    fromAbove = default(Couplings).With(g, southWest - nextSouthWest, southEast - nextSouthEast, northWest - nextNorthWest, northEast - nextNorthEast);
                    all = all.With(fromAbove);
                }

                var diagonal = 0.5f * all.Diagonals;
                (-(all.South + diagonal)).Store(East[0] + at);
                (-(all.North + diagonal)).Store(East[1] + at);
                (-(all.West + diagonal)).Store(North[0] + at);
                (-(all.East + diagonal)).Store(North[1] + at);
            }
        }
    }

    /// <summary>Couplings of the four corners along the four sides of the patch and both diagonals, which count half to each side; all are negative conductances.</summary>
    private readonly struct Couplings(Vector256<float> south, Vector256<float> north, Vector256<float> west, Vector256<float> east, Vector256<float> diagonals)
    {
        public readonly Vector256<float> South = south, North = north, West = west, East = east, Diagonals = diagonals;

        /// <summary>With the energy g (Σ d T)² of an edge between cells whose shares of the corners differ by d.</summary>
        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public Couplings With(Vector256<float> g, Vector256<float> southWest, Vector256<float> southEast, Vector256<float> northWest, Vector256<float> northEast)
        {
            Vector256<float> a = g * southWest, b = g * southEast, c = g * northWest;
            return new(
                Vector256.MultiplyAddEstimate(a, southEast, South),
                Vector256.MultiplyAddEstimate(c, northEast, North),
                Vector256.MultiplyAddEstimate(a, northWest, West),
                Vector256.MultiplyAddEstimate(b, northEast, East),
                Vector256.MultiplyAddEstimate(a, northEast, Vector256.MultiplyAddEstimate(b, northWest, Diagonals)));
        }

        [MethodImpl(MethodImplOptions.AggressiveInlining)]
        public Couplings With(Couplings other) => new(South + other.South, North + other.North, West + other.West, East + other.East, Diagonals + other.Diagonals);
    }

    private readonly struct Corners(Vector512<float> southWest, Vector512<float> southEast, Vector512<float> northWest, Vector512<float> northEast)
    {
        public readonly Vector512<float> SouthWest = southWest, SouthEast = southEast, NorthWest = northWest, NorthEast = northEast;
    }
}
