using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>
/// An order of elimination with little fill: always an unknown with about the fewest neighbours (Amestoy, Davis, Duff, An approximate minimum degree ordering algorithm, SIAM J. Matrix Anal. Appl. 17, 1996, without
/// their supervariables). What is eliminated stays as an element, the set of its neighbours, so that no fill is stored. Where all that is left is joined to nearly all, any order will do.
/// </summary>
internal sealed class MinimumDegree
{
    /// <summary>Share of what is left that an unknown with the fewest neighbours must be joined to for the rest to count as one block.</summary>
    private const double DenseShare = 0.6;

    private readonly int[] _degree, _mark, _outside, _outsideMark;
    private readonly List<int>[] _neighbours, _elements;

    /// <summary>Of what is eliminated: its neighbours then, which are its element.</summary>
    private readonly int[]?[] _pattern;
    private readonly bool[] _absorbed;
    private readonly List<int> _order;
    private readonly PriorityQueue<int, (int, int)> _queue = new();
    private int _stamp;

    private MinimumDegree(SymmetricMatrix matrix)
    {
        var n = matrix.Size;
        (_degree, _mark, _outside, _outsideMark) = (new int[n], new int[n], new int[n], new int[n]);
        (_neighbours, _elements, _pattern, _absorbed, _order) = (new List<int>[n], new List<int>[n], new int[n][], new bool[n], new(n));
        for (var i = 0; i < n; i++)
        {
            _neighbours[i] = [.. matrix.Column.AsSpan(matrix.RowStart[i]..matrix.RowStart[i + 1])];
            _elements[i] = [];
            SetDegree(i, _neighbours[i].Count);
        }
    }

    /// <summary>The order, and by rows in that order, ascending, where the factor has entries beside its diagonal.</summary>
    public static (int[] Order, int[] RowStart, int[] Column) Order(SymmetricMatrix matrix)
    {
        var ordering = new MinimumDegree(matrix);
        ordering.EliminateAll();
        return ordering.Rows();
    }

    private void SetDegree(int i, int degree)
    {
        _degree[i] = degree;
        _queue.Enqueue(i, (degree, i));
    }

    private void EliminateAll()
    {
        while (_queue.TryDequeue(out var i, out var priority))
        {
            if (_pattern[i] != null || priority.Item1 != _degree[i]) continue;
            if (_degree[i] >= DenseShare * (_degree.Length - _order.Count - 1))
            {
                EliminateRest();
                return;
            }

            Eliminate(i);
        }
    }

    private void EliminateRest()
    {
        int[] rest = [.. Enumerable.Range(0, _pattern.Length).Where(i => _pattern[i] == null)];
        for (var k = 0; k < rest.Length; k++) _pattern[rest[k]] = rest[(k + 1)..];
        _order.AddRange(rest);
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Eliminate(int pivot)
    {
        var reach = Reach(pivot);
        _pattern[pivot] = reach;
        _order.Add(pivot);
        // Of each element that has one of these: how many of it are not among these.
        foreach (var i in reach)
        {
            foreach (var e in _elements[i])
            {
                if (_outsideMark[e] != _stamp) (_outsideMark[e], _outside[e]) = (_stamp, _pattern[e]!.Length);
                _outside[e]--;
            }
        }

        foreach (var i in reach)
        {
            _elements[i].RemoveAll(e => _absorbed[e] || _outside[e] == 0);
            _neighbours[i].RemoveAll(j => _mark[j] == _stamp || _pattern[j] != null);
            var degree = _neighbours[i].Count + reach.Length - 1;
            foreach (var e in _elements[i]) degree += _outside[e];
            _elements[i].Add(pivot);
            SetDegree(i, Math.Min(degree, _degree.Length - _order.Count - 1));
        }
    }

    /// <summary>All that a pivot is joined to, directly or by elements, which the pivot's own takes the place of. Marks them.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private int[] Reach(int pivot)
    {
        _stamp++;
        _mark[pivot] = _stamp;
        List<int> reach = [];
        void Take(IEnumerable<int> unknowns)
        {
            foreach (var j in unknowns)
            {
                if (_mark[j] == _stamp || _pattern[j] != null) continue;
                _mark[j] = _stamp;
                reach.Add(j);
            }
        }

        Take(_neighbours[pivot]);
        foreach (var e in _elements[pivot])
        {
            Take(_pattern[e]!);
            _absorbed[e] = true;
        }

        return [.. reach];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private (int[] Order, int[] RowStart, int[] Column) Rows()
    {
        int n = _pattern.Length;
        int[] place = new int[n], start = new int[n + 1];
        for (var k = 0; k < n; k++) place[_order[k]] = k;
        foreach (var pattern in _pattern)
        {
            foreach (var i in pattern!) start[place[i] + 1]++;
        }

        for (var k = 0; k < n; k++) start[k + 1] += start[k];
        int[] column = new int[start[n]], next = start[..n];
        for (var k = 0; k < n; k++)
        {
            foreach (var i in _pattern[_order[k]]!) column[next[place[i]]++] = k;
        }

        return ([.. _order], start, column);
    }
}
