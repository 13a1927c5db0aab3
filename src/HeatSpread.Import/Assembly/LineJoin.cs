using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>Lines joined end to end.</summary>
/// <param name="Rings">Closed ones, open (first point not repeated).</param>
/// <param name="OpenChains">How many chains did not close.</param>
internal sealed record LineJoin(IReadOnlyList<List<Point>> Rings, int OpenChains)
{
    /// <param name="lines">Each of two points at least.</param>
    /// <param name="tolerance">Ends as near as this are one.</param>
    public static LineJoin Of(IReadOnlyList<IReadOnlyList<Point>> lines, double tolerance)
    {
        var nodes = new NodeGrid(tolerance);
        var edges = new List<Edge>();
        var rings = new List<List<Point>>();
        var seen = new HashSet<(int, int, Point)>();
        foreach (var line in lines)
        {
            int from = nodes.At(line[0]), to = nodes.At(line[^1]);
            if (from == to)
            {
                if (line.Count > 3 && Length(line) > 4 * tolerance) rings.Add([.. line.Take(line.Count - 1)]);
            }
            else if (seen.Add((Math.Min(from, to), Math.Max(from, to), Middle(line)))) edges.Add(new Edge(line, from, to)); // not drawn twice
        }
        int open = 0;
        var atNode = edges.SelectMany(e => new[] { (Node: e.From, Edge: e), (Node: e.To, Edge: e) }).ToLookup(p => p.Node, p => p.Edge);
        foreach (var first in edges.Where(e => !e.IsUsed))
        {
            if (Follow(first, atNode) is { Count: > 2 } ring) rings.Add(ring);
            else open++;
        }
        return new LineJoin(rings, open);
    }

    private sealed record Edge(IReadOnlyList<Point> Line, int From, int To)
    {
        public bool IsUsed { get; set; }
    }

    /// <summary>Walks from edge to edge until the start comes back; null where the walk ends before.</summary>
    private static List<Point>? Follow(Edge first, ILookup<int, Edge> atNode)
    {
        var ring = new List<Point>();
        int node = first.From;
        for (var edge = first; edge is not null; edge = atNode[node].FirstOrDefault(e => !e.IsUsed))
        {
            edge.IsUsed = true;
            bool forward = edge.From == node;
            ring.AddRange((forward ? edge.Line : edge.Line.Reverse()).Take(edge.Line.Count - 1));
            node = forward ? edge.To : edge.From;
            if (node == first.From) return ring;
        }
        return null;
    }

    private static double Length(IReadOnlyList<Point> line) => line.Zip(line.Skip(1), Arcs.Distance).Sum();

    private static Point Middle(IReadOnlyList<Point> line)
    {
        if (line.Count == 2) return default;
        var (a, b) = (line[(line.Count - 1) / 2], line[line.Count / 2]); // the same for both directions
        return new Point(Math.Round((a.X + b.X) / 2, 2), Math.Round((a.Y + b.Y) / 2, 2));
    }

    /// <summary>Gives points that are near each other the same number.</summary>
    private sealed class NodeGrid(double tolerance)
    {
        private readonly Dictionary<(long, long), List<(Point At, int Node)>> cells = [];
        private int count;

        public int At(Point p)
        {
            long column = (long)Math.Floor(p.X / tolerance), row = (long)Math.Floor(p.Y / tolerance);
            for (long c = column - 1; c <= column + 1; c++)
            {
                for (long r = row - 1; r <= row + 1; r++)
                {
                    if (!cells.TryGetValue((c, r), out var found)) continue;
                    foreach (var (at, node) in found)
                    {
                        if (Arcs.Distance(at, p) <= tolerance) return node;
                    }
                }
            }
            if (!cells.TryGetValue((column, row), out var own)) cells[(column, row)] = own = [];
            own.Add((p, count));
            return count++;
        }
    }
}
