namespace HeatSpread.Import.Connectivity;

/// <summary>Union-find with path halving (Tarjan and van Leeuwen 1984); it grows by <see cref="Add"/>.</summary>
internal sealed class DisjointSets
{
    private readonly List<int> parents = [];

    public DisjointSets(int count = 0)
    {
        for (int i = 0; i < count; i++) Add();
    }

    public int Add()
    {
        parents.Add(parents.Count);
        return parents.Count - 1;
    }

    public int Root(int item)
    {
        while (parents[item] != item)
        {
            parents[item] = parents[parents[item]];
            item = parents[item];
        }
        return item;
    }

    /// <summary>The smaller root becomes the root of both, so that results do not depend on the order of joining.</summary>
    public void Join(int one, int other)
    {
        int a = Root(one), b = Root(other);
        if (a != b) parents[Math.Max(a, b)] = Math.Min(a, b);
    }
}
