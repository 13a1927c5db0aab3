namespace HeatSpread.Solver.Multigrid;

/// <summary>Arrays that wait between solves, of whatever size they were: touching fresh memory for the first time costs several times what clearing does.</summary>
/// <param name="mostBytes">What may wait; beyond it the oldest goes to the collector.</param>
internal sealed class ScratchPool(long mostBytes)
{
    /// <summary>An array at most this much longer than asked for will do.</summary>
    private const double Slack = 1.25;

    /// <summary>Shorter ones are left to the collector.</summary>
    private const int Least = 1 << 8;

    /// <summary>Floats that are cleared together.</summary>
    private const int Piece = 1 << 12;

    private readonly Lock _gate = new();
    private readonly List<float[]> _idle = [];

    public long IdleBytes { get; private set; }

    /// <summary>Zeros.</summary>
    /// <param name="length">Floats.</param>
    /// <param name="skew">As for <see cref="AlignedFloats"/>.</param>
    /// <param name="team">Clears them.</param>
    public AlignedFloats Rent(int length, int skew, ThreadTeam team)
    {
        var rented = RentAny(length, skew);
        team.ForRows((length + Piece - 1) / Piece, Piece, (from, to) => rented.Span[(from * Piece)..Math.Min(length, to * Piece)].Clear());
        return rented;
    }

    /// <summary>Zeros before a level's first row and behind its last; whatever is in the rows, which are to be filled to their ends.</summary>
    /// <param name="shape">Of the level.</param>
    /// <param name="skew">As for <see cref="AlignedFloats"/>.</param>
    public AlignedFloats RentRows(Shape shape, int skew)
    {
        var rented = RentAny(shape.Length, skew);
        rented.Span[..shape.RowStart(0)].Clear();
        rented.Span[shape.RowStart(shape.Rows)..].Clear();
        return rented;
    }

    /// <summary>Whatever is in it.</summary>
    /// <param name="length">Floats.</param>
    /// <param name="skew">As for <see cref="AlignedFloats"/>.</param>
    public AlignedFloats RentAny(int length, int skew = 0)
    {
        var ownerLength = AlignedFloats.OwnerLength(length, skew);
        return new(Take(ownerLength) ?? GC.AllocateUninitializedArray<float>(ownerLength, pinned: true), length, skew);
    }

    /// <summary>Nothing may use the array afterwards.</summary>
    public void Return(AlignedFloats floats)
    {
        if (floats.Owner.Length < Least) return;
        lock (_gate)
        {
            _idle.Add(floats.Owner);
            IdleBytes += Bytes(floats.Owner);
            for (; IdleBytes > mostBytes; _idle.RemoveAt(0)) IdleBytes -= Bytes(_idle[0]);
        }
    }

    /// <summary>The shortest that will do; null where there is none.</summary>
    private float[]? Take(int length)
    {
        if (length < Least) return null;
        lock (_gate)
        {
            var best = -1;
            for (var k = 0; k < _idle.Count; k++)
            {
                var has = _idle[k].Length;
                if (has >= length && has <= Slack * length && (best < 0 || has < _idle[best].Length)) best = k;
            }

            if (best < 0) return null;
            var taken = _idle[best];
            _idle.RemoveAt(best);
            IdleBytes -= Bytes(taken);
            return taken;
        }
    }

    private static long Bytes(float[] array) => (long)array.Length * sizeof(float);
}
