using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// What the fine cells strictly between four coarse columns give to the coarse network, for one row of such patches. Corners are counted 0 south-west,
/// 1 south-east, 2 north-west, 3 north-east.
/// </summary>
internal sealed unsafe class PatchRow
{
    /// <summary>Ratio below which a corner is not of the same copper as the diagonal that passes it.</summary>
    private const float WeakCorner = 0.1f;

    private readonly AlignedFloats _owner;
    private readonly float*[] _weight = new float*[4], _diagonal = new float*[2], _reach = new float*[1];

    public PatchRow(Shape shape)
    {
        var length = (shape.RowStride + (2 * Shape.Lanes) + 15) / 16 * 16;
        _owner = new(19 * length);
        float*[][] all = [East, North, Below, Sink, _weight, _diagonal, _reach];
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

        for (var h = 0; h < level.Shape.Half; h += Shape.Lanes) Fold(level, row, h);
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
        var above = stackalloc Vector512<float>[sheets];
        Vector512<float> fromAbove = default, west = default, east = default, south = default, north = default;
        for (int s = 0, i = h; s < sheets; s++, i += half)
        {
            Vector512<float> gw = Vector512.Load(n.West + i), ge = Vector512.Load(n.East + i), gs = Vector512.Load(n.South + i), gn = Vector512.Load(n.North + i);
            var elsewhere = fromAbove + ((gw + ge) + (gs + gn));
            var v = Vector512.Load(vertical + i);
            var pivot = elsewhere + v;
            above[s] = elsewhere;
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
        Vector512<float> below = default;
        float* southern = vertical - shape.RowStride, northern = vertical + shape.RowStride;
        for (int s = sheets - 1, i = h + (s * half); s >= 0; s--, i -= half)
        {
            var v = Vector512.Load(vertical + i);
            below = Coarsening.InSeries(below, v);
            var coarse = Vector512.Max(Vector512.Max(Vector512.Load(southern + i), Vector512.Load(southern + i + 1)), Vector512.Max(Vector512.Load(northern + i), Vector512.Load(northern + i + 1)));
            Coarsening.Reach(v, Coarsening.InSeries(above[s], below), coarse).Store(_reach[0] + Shape.Lanes + i);
            below += (Vector512.Load(n.West + i) + Vector512.Load(n.East + i)) + (Vector512.Load(n.South + i) + Vector512.Load(n.North + i));
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
            var v = Vector512.Load(_reach[0] + at) * 0.5f;
            var next = Corners.Load(_weight, at + half);
            ((w + next) * v).Store(Below, at);
            Add(v, w - next, at);
            Add(v, w - next, at + half);
        }
    }

    /// <summary>The energy g (Σ d T)² of an edge as conductances along the four sides and the two diagonals.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    private void Add(Vector512<float> g, Corners d, int at)
    {
        (Vector512.Load(East[0] + at) - g * (d.SouthWest * d.SouthEast)).Store(East[0] + at);
        (Vector512.Load(East[1] + at) - g * (d.NorthWest * d.NorthEast)).Store(East[1] + at);
        (Vector512.Load(North[0] + at) - g * (d.SouthWest * d.NorthWest)).Store(North[0] + at);
        (Vector512.Load(North[1] + at) - g * (d.SouthEast * d.NorthEast)).Store(North[1] + at);
        (Vector512.Load(_diagonal[0] + at) - g * (d.SouthWest * d.NorthEast)).Store(_diagonal[0] + at);
        (Vector512.Load(_diagonal[1] + at) - g * (d.SouthEast * d.NorthWest)).Store(_diagonal[1] + at);
    }

    /// <summary>The diagonals go over to the sides, each by one corner or by both.</summary>
    private void Fold(Level level, int row, int h)
    {
        var shape = level.Shape;
        int half = shape.Half, south = shape.RowStart(row - 1), north = shape.RowStart(row + 1);
        for (int s = 0, i = h; s < shape.Sheets; s++, i += half)
        {
            var at = Shape.Lanes + i;
            Vector512<float> east0 = Vector512.Load(East[0] + at), east1 = Vector512.Load(East[1] + at), north0 = Vector512.Load(North[0] + at), north1 = Vector512.Load(North[1] + at);
            Vector512<float> rising = Vector512.Load(_diagonal[0] + at), falling = Vector512.Load(_diagonal[1] + at);
            var bySouthEast = rising * Share(rising, Vector512.Min(east0, north1), Vector512.Min(north0, east1), Lateral(level, south + i + 1), Lateral(level, north + i));
            var bySouthWest = falling * Share(falling, Vector512.Min(east0, north0), Vector512.Min(east1, north1), Lateral(level, south + i), Lateral(level, north + i + 1));
            (east0 + bySouthEast + bySouthWest).Store(East[0] + at);
            (north1 + bySouthEast + (falling - bySouthWest)).Store(North[1] + at);
            (north0 + (rising - bySouthEast) + bySouthWest).Store(North[0] + at);
            (east1 + (rising - bySouthEast) + (falling - bySouthWest)).Store(East[1] + at);
        }
    }

    private static Vector512<float> Lateral(Level level, int i) =>
        (Vector512.Load(level.West.Pointer + i) + Vector512.Load(level.East.Pointer + i)) + (Vector512.Load(level.North.Pointer + i) + Vector512.Load(level.South.Pointer + i));

    /// <summary>
    /// The share of a diagonal that goes by the first of its two corners: half where both are part of the same copper (exact for linear fields) or neither is. By a corner beyond
    /// a gap the diagonal would tie the copper on both sides of the gap to each other, so then all of it goes by the one within; where neither is within, by one of laminate.
    /// </summary>
    private static Vector512<float> Share(Vector512<float> diagonal, Vector512<float> first, Vector512<float> second, Vector512<float> firstCorner, Vector512<float> secondCorner)
    {
        Vector512<float> half = Vector512.Create(0.5f), one = Vector512<float>.One, weak = Vector512.Create(WeakCorner);
        Vector512<float> withinFirst = Vector512.GreaterThan(first, diagonal * weak), withinSecond = Vector512.GreaterThan(second, diagonal * weak);
        var byLaminate = Vector512.ConditionalSelect(
            Vector512.LessThan(firstCorner, secondCorner * weak),
            one,
            Vector512.ConditionalSelect(Vector512.LessThan(secondCorner, firstCorner * weak), Vector512<float>.Zero, half));
        return Vector512.ConditionalSelect(withinFirst, Vector512.ConditionalSelect(withinSecond, half, one), Vector512.ConditionalSelect(withinSecond, Vector512<float>.Zero, byLaminate));
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
