namespace HeatSpread.Boards;

/// <summary>Which nodes of a part's network hang together with given links.</summary>
internal static class NodeReach
{
    /// <param name="nodes">Number of nodes.</param>
    /// <param name="links">All resolved.</param>
    /// <param name="isStart">Which links out of the network to start from.</param>
    /// <returns>For each node whether a chain of links joins it to one of the starts.</returns>
    public static bool[] Of(int nodes, IReadOnlyList<PartLink> links, Func<PartLink, bool> isStart)
    {
        var neighbours = Enumerable.Range(0, nodes).Select(_ => new List<int>()).ToList();
        foreach (var link in links.Where(link => link.Target == PartLinkTarget.Node))
        {
            neighbours[link.FromNode].Add(link.TargetIndex);
            neighbours[link.TargetIndex].Add(link.FromNode);
        }
        var reached = new bool[nodes];
        var pending = new Stack<int>(links.Where(isStart).Select(link => link.FromNode));
        while (pending.TryPop(out int node))
        {
            if (reached[node]) continue;
            reached[node] = true;
            foreach (int next in neighbours[node]) pending.Push(next);
        }
        return reached;
    }
}
