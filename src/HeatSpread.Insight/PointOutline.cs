using HeatSpread.Boards;
using HeatSpread.Thermal;
using NetTopologySuite.Geometries;
using NetTopologySuite.Simplify;
using Point = HeatSpread.Boards.Point;
using Polygon = HeatSpread.Boards.Polygon;

namespace HeatSpread.Insight;

/// <summary>
/// Polygons about sets of fine points, 8 × 8 a block. The border is followed side by side, the set on its left, and then straightened without touching or crossing itself, no farther from the
/// points' sides than <see cref="Slack"/> of a point.
/// </summary>
internal static class PointOutline
{
    /// <summary>Points a block along each side.</summary>
    public const int Fine = 8;

    private const double Slack = 0.75;

    private const ulong FirstColumn = 0x0101010101010101;

    /// <param name="blocks">Blocks with their points, bit 8 · row + column; one block may come several times.</param>
    /// <param name="grid">Of the blocks.</param>
    /// <param name="leastPoints">Pieces of fewer points are left out.</param>
    /// <returns>m; outer rings counter-clockwise.</returns>
    public static Region Of(IEnumerable<(int Block, ulong Points)> blocks, BoardGrid grid, int leastPoints = 1)
    {
        var points = new Dictionary<int, ulong>();
        foreach (var (block, bits) in blocks) points[block] = points.GetValueOrDefault(block) | bits;
        List<LinearRing> outer = [], holes = [];
        foreach (var ring in Rings(Sides(points, grid)))
        {
            var closed = new LinearRing([.. ring.Append(ring[0]).Select(p => new Coordinate(p.X, p.Y))]);
            (closed.IsCCW ? outer : holes).Add(closed);
        }
        var whole = GeometryFactory.Default.CreateMultiPolygon([.. Polygons(outer, holes).Where(polygon => polygon.Area >= leastPoints)]);
        if (whole.IsEmpty) return new([]);
        var straight = TopologyPreservingSimplifier.Simplify(whole, Slack);
        return new([.. Enumerable.Range(0, straight.NumGeometries).Select(straight.GetGeometryN).OfType<NetTopologySuite.Geometries.Polygon>()
            .Select(polygon => new Polygon(InMeters(polygon.ExteriorRing), [.. polygon.InteriorRings.Select(InMeters)]))]);

        IReadOnlyList<Point> InMeters(LineString ring) =>
            [.. ring.Coordinates.SkipLast(1).Select(c => new Point(grid.Origin.X + c.X * grid.PitchX / Fine, grid.Origin.Y + c.Y * grid.PitchY / Fine))];
    }

    private static IEnumerable<NetTopologySuite.Geometries.Polygon> Polygons(List<LinearRing> outer, List<LinearRing> holes)
    {
        var holesOf = outer.ToDictionary(ring => ring, _ => new List<LinearRing>());
        foreach (var hole in holes)
        {
            var within = Beside(hole);
            var around = outer.Where(ring => ring.EnvelopeInternal.Contains(within) && NetTopologySuite.Algorithm.PointLocation.IsInRing(within, ring.Coordinates)).MinBy(ring => ring.EnvelopeInternal.Area);
            if (around is not null) holesOf[around].Add(hole);
        }
        return outer.Select(ring => new NetTopologySuite.Geometries.Polygon(ring, [.. holesOf[ring]]));
    }

    /// <summary>A place beside the middle of a hole's first side, within the set.</summary>
    private static Coordinate Beside(LinearRing hole)
    {
        var (a, b) = (hole.GetCoordinateN(0), hole.GetCoordinateN(1));
        double dx = Math.Sign(b.X - a.X), dy = Math.Sign(b.Y - a.Y);
        return new((a.X + b.X) / 2 - 0.25 * dy, (a.Y + b.Y) / 2 + 0.25 * dx);
    }

    /// <summary>Sides between a point of the set and one that is not, from corner to corner, the set on the left.</summary>
    private static Dictionary<(int X, int Y), List<(int X, int Y)>> Sides(Dictionary<int, ulong> points, BoardGrid grid)
    {
        var sides = new Dictionary<(int X, int Y), List<(int X, int Y)>>();
        ulong At(int column, int row) => column < 0 || row < 0 || column >= grid.Columns || row >= grid.Rows ? 0 : points.GetValueOrDefault(row * grid.Columns + column);
        foreach (var (block, bits) in points)
        {
            int column = block % grid.Columns, row = block / grid.Columns;
            AddAll(bits & ~((bits << Fine) | (At(column, row - 1) >> (Fine * (Fine - 1)))), (0, 0), (1, 0));
            AddAll(bits & ~(((bits >> 1) & ~(FirstColumn << (Fine - 1))) | ((At(column + 1, row) & FirstColumn) << (Fine - 1))), (1, 0), (1, 1));
            AddAll(bits & ~((bits >> Fine) | (At(column, row + 1) << (Fine * (Fine - 1)))), (1, 1), (0, 1));
            AddAll(bits & ~(((bits << 1) & ~FirstColumn) | ((At(column - 1, row) >> (Fine - 1)) & FirstColumn)), (0, 1), (0, 0));

            void AddAll(ulong open, (int X, int Y) from, (int X, int Y) to)
            {
                for (; open != 0; open &= open - 1)
                {
                    int bit = System.Numerics.BitOperations.TrailingZeroCount(open), x = column * Fine + bit % Fine, y = row * Fine + bit / Fine;
                    var start = (x + from.X, y + from.Y);
                    if (!sides.TryGetValue(start, out var ends)) sides[start] = ends = new(1);
                    ends.Add((x + to.X, y + to.Y));
                }
            }
        }
        return sides;
    }

    private static IEnumerable<List<(int X, int Y)>> Rings(Dictionary<(int X, int Y), List<(int X, int Y)>> sides)
    {
        foreach (var start in sides.Keys)
        {
            while (sides[start].Count > 0)
            {
                var ring = new List<(int X, int Y)>();
                var (at, came) = (start, (X: 0, Y: 0));
                do
                {
                    var ends = sides[at];
                    // where two corners touch, turn left: the ring stays with its own points
                    var (here, heading) = (at, came);
                    var next = ends.Count == 1 ? ends[0] : ends.MaxBy(end => heading.X * (end.Y - here.Y) - heading.Y * (end.X - here.X));
                    ends.Remove(next);
                    var going = (next.X - at.X, next.Y - at.Y);
                    if (going != came) ring.Add(at); // corners alone
                    (came, at) = (going, next);
                }
                while (at != start);
                yield return ring;
            }
        }
    }
}
