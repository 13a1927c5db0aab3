namespace HeatSpread.Boards;

/// <summary>
/// Items in an order that only their neighbours' comparison tells, with insertion by comparison and removal by handle in logarithmic time:
/// a treap (Seidel and Aragon, "Randomized search trees", 1996) whose nodes are also a linked list. Handles are 0 to capacity - 1.
/// </summary>
internal sealed class SweepOrder
{
    private const int None = -1;

    private int[] _left = [], _right = [], _parent = [], _before = [], _after = [];
    private int _root = None;

    public void Reset(int capacity)
    {
        if (_left.Length < capacity)
        {
            int size = Math.Max(capacity, 2 * _left.Length);
            (_left, _right, _parent, _before, _after) = (new int[size], new int[size], new int[size], new int[size], new int[size]);
        }
        _root = None;
    }

    /// <summary>The item next below, or -1.</summary>
    public int Before(int item) => _before[item];

    /// <summary>The item next above, or -1.</summary>
    public int After(int item) => _after[item];

    /// <param name="item">Not in the order yet.</param>
    /// <param name="isAbove">Whether the first item belongs above the second.</param>
    public void Insert(int item, Func<int, int, bool> isAbove)
    {
        int parent = None, below = None, above = None;
        for (int node = _root; node != None;)
        {
            parent = node;
            if (isAbove(item, node)) (below, node) = (node, _right[node]);
            else (above, node) = (node, _left[node]);
        }
        Attach(item, parent, asRight: parent == below, below, above);
    }

    /// <param name="item">Not in the order.</param>
    /// <param name="below">In the order; the item comes directly above it.</param>
    public void InsertAfter(int item, int below)
    {
        int above = _after[below];
        bool asRight = _right[below] == None;
        Attach(item, asRight ? below : above, asRight, below, above);
    }

    public void Remove(int item)
    {
        while (_left[item] != None && _right[item] != None)
            RotateUp(Priority(_left[item]) > Priority(_right[item]) ? _left[item] : _right[item]);
        Replace(item, _left[item] != None ? _left[item] : _right[item]);
        if (_before[item] != None) _after[_before[item]] = _after[item];
        if (_after[item] != None) _before[_after[item]] = _before[item];
    }

    /// <summary>Scrambles the handle (the finaliser of MurmurHash3), so that equal inputs give equal trees.</summary>
    private static uint Priority(int item)
    {
        uint h = (uint)item + 0x9E3779B9;
        h = (h ^ (h >> 16)) * 0x85EBCA6B;
        h = (h ^ (h >> 13)) * 0xC2B2AE35;
        return h ^ (h >> 16);
    }

    private void Attach(int item, int parent, bool asRight, int below, int above)
    {
        (_left[item], _right[item], _parent[item], _before[item], _after[item]) = (None, None, parent, below, above);
        if (below != None) _after[below] = item;
        if (above != None) _before[above] = item;
        if (parent == None) _root = item;
        else if (asRight) _right[parent] = item;
        else _left[parent] = item;
        while (_parent[item] != None && Priority(item) > Priority(_parent[item])) RotateUp(item);
    }

    private void RotateUp(int item)
    {
        int parent = _parent[item];
        Replace(parent, item);
        if (_left[parent] == item) Adopt(parent, _left, _right, item);
        else Adopt(parent, _right, _left, item);
    }

    /// <summary>The parent, having lost <paramref name="item"/> on one side, takes its child from the other and becomes its child.</summary>
    private void Adopt(int parent, int[] side, int[] otherSide, int item)
    {
        int child = otherSide[item];
        side[parent] = child;
        if (child != None) _parent[child] = parent;
        otherSide[item] = parent;
        _parent[parent] = item;
    }

    private void Replace(int item, int by)
    {
        int parent = _parent[item];
        if (parent == None) _root = by;
        else if (_left[parent] == item) _left[parent] = by;
        else _right[parent] = by;
        if (by != None) _parent[by] = parent;
    }
}
