using System.Runtime.CompilerServices;
using System.Runtime.Intrinsics;
using HeatSpread.Solver.Multigrid;

namespace HeatSpread.Solver;

/// <summary>A network seen from above: sums over the sheets of each column of cells, and which columns (and nodes, behind them) are joined (union-find with path halving, Tarjan 1975).</summary>
/// <param name="columns">Columns of cells side by side.</param>
/// <param name="plane">All columns.</param>
/// <param name="east">Conductance to the next column, W/K; one each, as the next ones.</param>
/// <param name="north">To the column of the next row.</param>
/// <param name="sink">To the sink.</param>
/// <param name="within">-1 where strong conductances join all cells of the column, else the greatest within.</param>
/// <param name="parent">Of columns, then nodes.</param>
internal readonly unsafe struct Plan(int columns, int plane, float* east, float* north, float* sink, float* within, int* parent)
{
    /// <summary>Frail columns, with weak links within, over sound ones, up to which they may be left to themselves.</summary>
    private const double MostFrail = 0.05;

    /// <summary>Least conductance that ties such a column to the rest over the greatest that it has.</summary>
    private const float LeastAround = 1e-3f;

    private const int LookMask = (1 << 16) - 1;

    private readonly int _columns = columns, _plane = plane;
    private readonly float* _within = within;
    private readonly int* _parent = parent;

    public readonly float* East = east, North = north, Sink = sink;

    /// <summary>Fills the sums of some columns.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void AddUp(Conductances network, float strong, int from, int to)
    {
        var least = Vector512.Create(strong);
        var last = network.East.Length - _plane;
        var c = from;
        for (; c + 16 <= to; c += 16)
        {
            Vector512<float> e = default, n = default, k = default, most = default, frail = default;
            for (var i = c; i < network.East.Length; i += _plane)
            {
                e += Vector512.LoadUnsafe(ref network.East[i]);
                n += Vector512.LoadUnsafe(ref network.North[i]);
                k += Vector512.LoadUnsafe(ref network.ToSink[i]);
                if (i >= last) continue;
                var below = Vector512.LoadUnsafe(ref network.Below[i]);
                frail |= Vector512.LessThan(below, least);
                most = Vector512.Max(most, below);
            }

            e.Store(East + c);
            n.Store(North + c);
            k.Store(Sink + c);
            Vector512.ConditionalSelect(frail, most, Vector512.Create(-1f)).Store(_within + c);
        }

        for (; c < to; c++)
        {
            (East[c], North[c], Sink[c]) = (0, 0, 0);
            var (most, frail) = (0f, false);
            for (var i = c; i < network.East.Length; i += _plane)
            {
                (East[c], North[c], Sink[c]) = (East[c] + network.East[i], North[c] + network.North[i], Sink[c] + network.ToSink[i]);
                if (i >= last) continue;
                (most, frail) = (Math.Max(most, network.Below[i]), frail || network.Below[i] < strong);
            }

            _within[c] = frail ? most : -1;
        }
    }

    /// <summary>Each on its own.</summary>
    public void Reset(int members)
    {
        for (var i = 0; i < members; i++) _parent[i] = i;
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void Join(int a, int b)
    {
        int ra = Root(a), rb = Root(b);
        if (ra != rb) _parent[Math.Max(ra, rb)] = Math.Min(ra, rb);
    }

    /// <summary>The least member of the piece.</summary>
    [MethodImpl(MethodImplOptions.AggressiveInlining)]
    public int Root(int i)
    {
        while (_parent[i] != i) i = _parent[i] = _parent[_parent[i]];
        return i;
    }

    /// <summary>Joins columns by conductances greater than 0 and not less than <paramref name="least"/>; frail ones left out or not.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void JoinColumns(float least, bool soundAlone, CancellationToken cancellationToken)
    {
        for (var c = 0; c < _plane; c++)
        {
            if ((c & LookMask) == 0) cancellationToken.ThrowIfCancellationRequested();
            if (soundAlone && _within[c] >= 0) continue;
            if (East[c] > 0 && East[c] >= least && !(soundAlone && _within[c + 1] >= 0)) Join(c, c + 1);
            if (North[c] > 0 && North[c] >= least && !(soundAlone && _within[c + _columns] >= 0)) Join(c, c + _columns);
        }
    }

    /// <summary>
    /// Whether strong conductances alone join what all join, but for few frail columns each of which is tied to the rest as firmly as it is to any of its neighbours and within: then no set of cells is joined inside many times more firmly than to
    /// all else, but for pieces that nothing joins.
    /// </summary>
    public bool StrongLinksJoinAll(float strong, CancellationToken cancellationToken)
    {
        int frail = 0, sound = 0;
        for (var c = 0; c < _plane; c++)
        {
            if (_within[c] < 0) sound++;
            else if (Firmest(c) > 0) frail++;
        }

        if (frail > MostFrail * sound) return false;
        Reset(_plane);
        JoinColumns(strong, true, cancellationToken);
        var pieces = 0;
        for (var c = 0; c < _plane; c++) pieces += _within[c] < 0 && _parent[c] == c ? 1 : 0;
        for (var c = 0; c < _plane; c++)
        {
            if (East[c] > 0 && IsFirm(c, c + 1, East[c])) Join(c, c + 1);
            if (North[c] > 0 && IsFirm(c, c + _columns, North[c])) Join(c, c + _columns);
        }

        var joined = PiecesOfSoundColumns();
        for (var c = 0; c < _plane; c++)
        {
            if (_within[c] >= 0 && Firmest(c) > 0 && !joined.Contains(Root(c))) return false;
        }

        JoinColumns(0, false, cancellationToken);
        return PiecesOfSoundColumns().Count == pieces;
    }

    /// <summary>Whether a link with a frail column at one end at least is firm beside all else that these have.</summary>
    private bool IsFirm(int a, int b, float link)
    {
        var (frailA, frailB) = (_within[a] >= 0, _within[b] >= 0);
        return (frailA || frailB) && !(frailA && link < LeastAround * Firmest(a)) && !(frailB && link < LeastAround * Firmest(b));
    }

    /// <summary>The greatest conductance of a frail column, within or to a neighbour; 0 where the column is absent.</summary>
    private float Firmest(int c) => Math.Max(Math.Max(_within[c], Math.Max(East[c], North[c])), Math.Max(c > 0 ? East[c - 1] : 0, c >= _columns ? North[c - _columns] : 0));

    private HashSet<int> PiecesOfSoundColumns()
    {
        HashSet<int> pieces = [];
        var last = -1;
        for (var c = 0; c < _plane; c++)
        {
            if (_within[c] < 0 && Root(c) is var root && root != last) pieces.Add(last = root);
        }

        return pieces;
    }
}
