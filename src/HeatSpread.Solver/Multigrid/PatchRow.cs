using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// What the fine cells strictly between four coarse columns give to the coarse network, for one row of such patches. Corners are counted 0 south-west,
/// 1 south-east, 2 north-west, 3 north-east.
/// </summary>
internal sealed unsafe class PatchRow
{
    private readonly AlignedFloats _owner;
    private readonly float*[] _weight = new float*[4];

    public PatchRow(Shape shape)
    {
        var length = (shape.RowStride + (2 * Shape.Lanes) + 15) / 16 * 16;
        _owner = new(16 * length);
        float*[][] all = [East, North, Below, Sink, _weight];
        var next = _owner.Pointer;
        foreach (var group in all)
        {
            for (var k = 0; k < group.Length; k++, next += length) group[k] = next;
        }
    }

    /// <summary>Lateral conductance along the southern and northern side. All arrays: sheet 0, half-index 0 at <see cref="Shape.Lanes"/>.</summary>
    public float*[] East { get; } = new float*[2];

    /// <summary>Lateral conductance along the western and eastern side.</summary>
    public float*[] North { get; } = new float*[2];

    /// <summary>Vertical conductance at each corner.</summary>
    public float*[] Below { get; } = new float*[4];

    /// <summary>Conductance to the sink at each corner.</summary>
    public float*[] Sink { get; } = new float*[4];

    /// <summary>Computes the patches between coarse rows <paramref name="coarseRow"/> and the next.</summary>
    public void Compute(Level level, AlignedFloats[] sink, int coarseRow)
    {
        var row = (2 * coarseRow) + 1;
        _owner.Span.Clear();
        if (row >= level.Shape.Rows) return;
        for (var h = 0; h < level.Shape.Half; h += Shape.Lanes)
        {
            CornerWeights(level, row, h);
            Accumulate(level, sink[0].Pointer + level.Shape.RowStart(row), row, h);
        }
    }

    /// <summary>The share of each corner in the centre column: its four neighbours by a column solve, times the neighbours' own weights.</summary>
    [SkipLocalsInit]
    private void CornerWeights(Level level, int row, int h)
    {
        var shape = level.Shape;
        int start = shape.RowStart(row), half = shape.Half, sheets = shape.Sheets;
        float* vertical = level.Multiplier[0].Pointer + start, b = level.Weight.Pointer + start, a = b - shape.RowStride, aNorth = b + shape.RowStride;
        var n = level.Row(0, row, null);
        var y = stackalloc Vector512<float>[4 * sheets];
        var inverse = stackalloc Vector512<float>[sheets];
        Vector512<float> fromAbove = default, west = default, east = default, south = default, north = default;
        for (int s = 0, i = h; s < sheets; s++, i += half)
        {
            Vector512<float> gw = Vector512.Load(n.West + i), ge = Vector512.Load(n.East + i), gs = Vector512.Load(n.South + i), gn = Vector512.Load(n.North + i);
            var elsewhere = fromAbove + ((gw + ge) + (gs + gn));
            var v = Vector512.Load(vertical + i);
            var pivot = elsewhere + v;
            inverse[s] = Vector512.GreaterThan(pivot, Vector512<float>.Zero) & (Vector512<float>.One / pivot);
            y[4 * s] = west += gw;
            y[4 * s + 1] = east += ge;
            y[4 * s + 2] = south += gs;
            y[4 * s + 3] = north += gn;
            var m = v * inverse[s];
            (west, east, south, north) = (west * m, east * m, south * m, north * m);
            fromAbove = m * elsewhere;
        }

        west = east = south = north = default;
        for (int s = sheets - 1, i = h + (s * half); s >= 0; s--, i -= half)
        {
            var v = Vector512.Load(vertical + i);
            west = (y[4 * s] + v * west) * inverse[s];
            east = (y[4 * s + 1] + v * east) * inverse[s];
            south = (y[4 * s + 2] + v * south) * inverse[s];
            north = (y[4 * s + 3] + v * north) * inverse[s];
            Vector512<float> bw = Vector512.Load(b + i), be = Vector512.Load(b + i + 1), aw = Vector512.Load(a + i), an = Vector512.Load(aNorth + i), one = Vector512<float>.One;
            var at = Shape.Lanes + i;
            (west * bw + south * aw).Store(_weight[0] + at);
            (east * be + south * (one - aw)).Store(_weight[1] + at);
            (west * (one - bw) + north * an).Store(_weight[2] + at);
            (east * (one - be) + north * (one - an)).Store(_weight[3] + at);
        }
    }

    private void Accumulate(Level level, float* sink, int row, int h)
    {
        var shape = level.Shape;
        int start = shape.RowStart(row), half = shape.Half;
        float* vertical = level.Multiplier[0].Pointer + start, b = level.Weight.Pointer + start, a = b - shape.RowStride, aNorth = b + shape.RowStride;
        var n = level.Row(0, row, null);
        for (int s = 0, i = h; s < shape.Sheets; s++, i += half)
        {
            var at = Shape.Lanes + i;
            var w = Corners.Load(_weight, at);
            Vector512<float> bw = Vector512.Load(b + i), be = Vector512.Load(b + i + 1), aw = Vector512.Load(a + i), an = Vector512.Load(aNorth + i), one = Vector512<float>.One, zero = Vector512<float>.Zero;
            Add(Vector512.Load(n.West + i), w - new Corners(bw, zero, one - bw, zero), at);
            Add(Vector512.Load(n.East + i), w - new Corners(zero, be, zero, one - be), at);
            Add(Vector512.Load(n.South + i), w - new Corners(aw, one - aw, zero, zero), at);
            Add(Vector512.Load(n.North + i), w - new Corners(zero, zero, an, one - an), at);
            (w * Vector512.Load(sink + i)).Store(Sink, at);
            if (s + 1 == shape.Sheets) break;
            var v = Vector512.Load(vertical + i) * 0.5f;
            var next = Corners.Load(_weight, at + half);
            ((w + next) * v).Store(Below, at);
            Add(v, w - next, at);
            Add(v, w - next, at + half);
        }
    }

    /// <summary>The energy g (Σ d T)² of an edge as conductances along the four sides; a diagonal coupling counts half to each of them.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private void Add(Vector512<float> g, Corners d, int at)
    {
        var diagonal = 0.5f * (d.SouthWest * d.NorthEast + d.SouthEast * d.NorthWest);
        (Vector512.Load(East[0] + at) - g * (d.SouthWest * d.SouthEast + diagonal)).Store(East[0] + at);
        (Vector512.Load(East[1] + at) - g * (d.NorthWest * d.NorthEast + diagonal)).Store(East[1] + at);
        (Vector512.Load(North[0] + at) - g * (d.SouthWest * d.NorthWest + diagonal)).Store(North[0] + at);
        (Vector512.Load(North[1] + at) - g * (d.SouthEast * d.NorthEast + diagonal)).Store(North[1] + at);
    }

    private readonly struct Corners(Vector512<float> southWest, Vector512<float> southEast, Vector512<float> northWest, Vector512<float> northEast)
    {
        public readonly Vector512<float> SouthWest = southWest, SouthEast = southEast, NorthWest = northWest, NorthEast = northEast;

        public static Corners Load(float*[] from, int at) => new(Vector512.Load(from[0] + at), Vector512.Load(from[1] + at), Vector512.Load(from[2] + at), Vector512.Load(from[3] + at));

        public void Store(float*[] to, int at)
        {
            SouthWest.Store(to[0] + at);
            SouthEast.Store(to[1] + at);
            NorthWest.Store(to[2] + at);
            NorthEast.Store(to[3] + at);
        }

        public static Corners operator -(Corners x, Corners y) => new(x.SouthWest - y.SouthWest, x.SouthEast - y.SouthEast, x.NorthWest - y.NorthWest, x.NorthEast - y.NorthEast);

        public static Corners operator +(Corners x, Corners y) => new(x.SouthWest + y.SouthWest, x.SouthEast + y.SouthEast, x.NorthWest + y.NorthWest, x.NorthEast + y.NorthEast);

        public static Corners operator *(Corners x, Vector512<float> f) => new(x.SouthWest * f, x.SouthEast * f, x.NorthWest * f, x.NorthEast * f);
    }
}
