namespace HeatSpread.Thermal.Raster;

/// <summary>
/// Where a run of copper begins or ends in a band of a scan: <see cref="Middle"/> on the band's middle line, and where the edge
/// leaves the band below and above. In metres.
/// </summary>
internal readonly record struct Crossing(double Middle, double Below, double Above);

/// <param name="Left">Its first edge.</param>
/// <param name="Right">Its last edge.</param>
/// <param name="Owner">A net, or <see cref="PaintProgram.NoNet"/>.</param>
internal readonly record struct OwnedRun(Crossing Left, Crossing Right, int Owner);

/// <summary>The copper along one scan line while shapes are painted onto it: runs that do not overlap, left to right.</summary>
internal sealed class OwnedRuns
{
    private OwnedRun[] _runs = new OwnedRun[64];

    /// <summary>Of each run its right edge on the middle line: what is searched lies close together.</summary>
    private double[] _ends = new double[64];

    public int Count { get; private set; }

    public ReadOnlySpan<OwnedRun> Runs => _runs.AsSpan(0, Count);

    public void Reset() => Count = 0;

    public void Apply(PaintAction action, int owner, Crossing left, Crossing right)
    {
        if (right.Middle <= left.Middle) return;
        switch (action)
        {
            case PaintAction.Paint:
                Paint(owner, left, right);
                break;
            case PaintAction.Clear:
                Splice(FirstEndingAfter(left.Middle), left, right, null);
                break;
            default:
                ClearOthers(owner, left, right);
                break;
        }
    }

    /// <summary>Keeps only the copper of one owner.</summary>
    public void Keep(int owner)
    {
        int kept = 0;
        for (int i = 0; i < Count; i++)
        {
            if (_runs[i].Owner == owner) Set(kept++, _runs[i]);
        }
        Count = kept;
    }

    /// <summary>Keeps only what lies within the runs of <paramref name="mask"/>, or within those of the same owner.</summary>
    public void ClipTo(OwnedRuns mask, OwnedRuns result, bool sameOwner = false)
    {
        result.Reset();
        int m = 0;
        for (int i = 0; i < Count; i++)
        {
            while (m < mask.Count && mask._runs[m].Right.Middle <= _runs[i].Left.Middle) m++;
            for (int k = m; k < mask.Count && mask._runs[k].Left.Middle < _runs[i].Right.Middle; k++)
            {
                if (sameOwner && mask._runs[k].Owner != _runs[i].Owner) continue;
                var left = _runs[i].Left.Middle >= mask._runs[k].Left.Middle ? _runs[i].Left : mask._runs[k].Left;
                var right = _runs[i].Right.Middle <= mask._runs[k].Right.Middle ? _runs[i].Right : mask._runs[k].Right;
                if (right.Middle > left.Middle) result.InsertAt(result.Count, new OwnedRun(left, right, _runs[i].Owner));
            }
        }
    }

    /// <summary>Keeps only what the other line has not, or has of another owner.</summary>
    public void MissingIn(OwnedRuns other, OwnedRuns result)
    {
        result.Reset();
        int first = 0;
        for (int i = 0; i < Count; i++)
        {
            while (first < other.Count && other._runs[first].Right.Middle <= _runs[i].Left.Middle) first++;
            var from = _runs[i].Left;
            for (int k = first; k < other.Count && other._runs[k].Left.Middle < _runs[i].Right.Middle; k++)
            {
                if (other._runs[k].Owner != _runs[i].Owner) continue;
                if (other._runs[k].Left.Middle > from.Middle) result.InsertAt(result.Count, new OwnedRun(from, other._runs[k].Left, _runs[i].Owner));
                if (other._runs[k].Right.Middle > from.Middle) from = other._runs[k].Right;
            }
            if (from.Middle < _runs[i].Right.Middle) result.InsertAt(result.Count, new OwnedRun(from, _runs[i].Right, _runs[i].Owner));
        }
    }

    private void Paint(int owner, Crossing left, Crossing right)
    {
        int first = FirstEndingAfter(left.Middle);
        // The same owner's copper that reaches beyond either end is taken into the new run.
        if (first < Count && _runs[first].Owner == owner && _runs[first].Left.Middle <= left.Middle) left = _runs[first].Left;
        int last = first;
        while (last < Count && _runs[last].Left.Middle < right.Middle) last++;
        if (last > first && _runs[last - 1].Owner == owner && _runs[last - 1].Right.Middle >= right.Middle) right = _runs[last - 1].Right;
        if (last == first)
        {
            InsertAt(first, new OwnedRun(left, right, owner));
            return;
        }
        if (last == first + 1 && _runs[first].Owner == owner)
        {
            Set(first, new OwnedRun(left, right, owner));
            return;
        }
        Splice(first, left, right, new OwnedRun(left, right, owner));
    }

    private void ClearOthers(int owner, Crossing left, Crossing right)
    {
        // From gap to gap between the owner's own runs.
        var from = left;
        int i = FirstEndingAfter(left.Middle);
        while (true)
        {
            while (i < Count && (_runs[i].Owner != owner || owner == PaintProgram.NoNet) && _runs[i].Left.Middle < right.Middle) i++;
            bool stops = i < Count && _runs[i].Left.Middle < right.Middle;
            var to = stops ? _runs[i].Left : right;
            double next = stops ? _runs[i].Right.Middle : 0;
            var after = stops ? _runs[i].Right : right;
            if (to.Middle > from.Middle) Splice(FirstEndingAfter(from.Middle), from, to, null);
            if (!stops || next >= right.Middle) return;
            from = after;
            i = FirstEndingAfter(next);
        }
    }

    /// <summary>Takes away what lies between the edges, from run <paramref name="first"/> on, and puts <paramref name="put"/> there.</summary>
    private void Splice(int first, Crossing left, Crossing right, OwnedRun? put)
    {
        int last = first;
        while (last < Count && _runs[last].Left.Middle < right.Middle) last++;
        OwnedRun? head = null, tail = null;
        if (last > first)
        {
            if (_runs[first].Left.Middle < left.Middle) head = _runs[first] with { Right = left };
            if (_runs[last - 1].Right.Middle > right.Middle) tail = _runs[last - 1] with { Left = right };
        }
        int kept = (head is null ? 0 : 1) + (put is null ? 0 : 1) + (tail is null ? 0 : 1);
        MakeRoom(last, kept - (last - first));
        int at = first;
        if (head is { } h) Set(at++, h);
        if (put is { } p) Set(at++, p);
        if (tail is { } t) Set(at, t);
    }

    private void InsertAt(int index, in OwnedRun run)
    {
        MakeRoom(index, 1);
        Set(index, run);
    }

    private void Set(int index, in OwnedRun run)
    {
        _runs[index] = run;
        _ends[index] = run.Right.Middle;
    }

    /// <summary>Moves the runs from <paramref name="index"/> on by <paramref name="shift"/> places.</summary>
    private void MakeRoom(int index, int shift)
    {
        if (shift == 0) return;
        if (Count + shift > _runs.Length)
        {
            Array.Resize(ref _runs, Math.Max(Count + shift, 2 * _runs.Length));
            Array.Resize(ref _ends, _runs.Length);
        }
        Array.Copy(_runs, index, _runs, index + shift, Count - index);
        Array.Copy(_ends, index, _ends, index + shift, Count - index);
        Count += shift;
    }

    /// <summary>Binary search without branches that depend on what is found: shapes come in no order, so a processor could not foresee them.</summary>
    private int FirstEndingAfter(double x)
    {
        int first = 0;
        for (int length = Count; length > 0;)
        {
            int half = (length + 1) >> 1;
            first += _ends[first + half - 1] <= x ? half : 0;
            length -= half;
        }
        return first;
    }
}
