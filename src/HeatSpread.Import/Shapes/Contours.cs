using NetTopologySuite.Geometries;
using NetTopologySuite.Noding;
using NetTopologySuite.Operation.OverlayNG;
using NetTopologySuite.Operation.Polygonize;
using NetTopologySuite.Operation.Valid;
using Point = HeatSpread.Boards.Point;
using Polygon = HeatSpread.Boards.Polygon;

namespace HeatSpread.Import.Shapes;

/// <summary>
/// Polygons from contours as files have them. A contour that touches or crosses itself (a cut-in that makes a hole, above all) is filled by the
/// non-zero winding rule; the others, nearly all, pass unchanged.
/// </summary>
internal static class Contours
{
    private const int SmallRing = 40;

    /// <param name="contour">Open or closed, on the nanometre grid.</param>
    /// <param name="maxCrossings">More crossings of the contour with itself are not repaired.</param>
    /// <param name="repaired">Whether the contour had to be mended.</param>
    /// <returns>Polygons with simple rings, none where the contour encloses nothing; null where it crosses itself too often.</returns>
    public static IReadOnlyList<Polygon>? Fill(IReadOnlyList<Point> contour, int maxCrossings, out bool repaired)
    {
        repaired = false;
        var ring = WithoutRepeats(contour);
        if (ring.Count < 3) return [];
        if (ring.Count <= SmallRing && IsSimpleSmall(ring)) return Plain(ring);
        var line = Overlay.Factory.CreateLinearRing(Overlay.Closed(ring));
        if (ring.Count > SmallRing && IsSimple(line)) return Plain(ring);
        if (ring.Count <= SmallRing && IsSimple(line)) return Plain(ring);
        repaired = true;
        if (CutIns.Open(ring) is { } opened) return [opened];
        if (CrossesMoreThan(line, maxCrossings)) return null;
        return FillNonZero(ring, line);
    }

    private static IReadOnlyList<Polygon> Plain(IReadOnlyList<Point> ring) => Math.Abs(Polygon.SignedArea(ring)) <= Overlay.LeastArea ? [] : [new Polygon(ring)];

    /// <summary>
    /// Most contours are pads of few points: every pair of their edges is tried, which is faster than any index. False where two edges meet, or where
    /// it cannot be told in double precision.
    /// </summary>
    private static bool IsSimpleSmall(List<Point> ring)
    {
        int count = ring.Count;
        for (int i = 0; i < count; i++)
        {
            var (a, b) = (ring[i], ring[i + 1 == count ? 0 : i + 1]);
            double minX = Math.Min(a.X, b.X), maxX = Math.Max(a.X, b.X), minY = Math.Min(a.Y, b.Y), maxY = Math.Max(a.Y, b.Y);
            for (int j = i + 1; j < count; j++)
            {
                var (c, d) = (ring[j], ring[j + 1 == count ? 0 : j + 1]);
                if (Math.Min(c.X, d.X) > maxX || Math.Max(c.X, d.X) < minX || Math.Min(c.Y, d.Y) > maxY || Math.Max(c.Y, d.Y) < minY) continue;
                bool isNext = j == i + 1, isPrevious = i == 0 && j == count - 1;
                if (isNext || isPrevious ? DoublesBack(isNext ? a : c, isNext ? b : d, isNext ? d : b) : Meet(a, b, c, d)) return false;
            }
        }
        return true;
    }

    /// <summary>Whether the way from <paramref name="b"/> to <paramref name="c"/> goes back along the way from <paramref name="a"/> to <paramref name="b"/>.</summary>
    private static bool DoublesBack(Point a, Point b, Point c)
    {
        double cross = (b.X - a.X) * (c.Y - b.Y) - (b.Y - a.Y) * (c.X - b.X), along = (b.X - a.X) * (c.X - b.X) + (b.Y - a.Y) * (c.Y - b.Y);
        return Math.Abs(cross) <= 1e-12 && along < 0;
    }

    private static bool Meet(Point a, Point b, Point c, Point d)
    {
        double ac = Side(a, b, c), ad = Side(a, b, d), ca = Side(c, d, a), cb = Side(c, d, b);
        const double Unsure = 1e-12;
        bool apart = ac > Unsure && ad > Unsure || ac < -Unsure && ad < -Unsure || ca > Unsure && cb > Unsure || ca < -Unsure && cb < -Unsure;
        return !apart;
    }

    private static double Side(Point a, Point b, Point p) => (b.X - a.X) * (p.Y - a.Y) - (b.Y - a.Y) * (p.X - a.X);

    private static bool IsSimple(LinearRing ring) => new IsSimpleOp(ring).IsSimple();

    private static List<Point> WithoutRepeats(IReadOnlyList<Point> contour)
    {
        var ring = new List<Point>(contour.Count);
        foreach (var p in contour)
        {
            if (ring.Count == 0 || ring[^1] != p) ring.Add(p);
        }
        while (ring.Count > 1 && ring[^1] == ring[0]) ring.RemoveAt(ring.Count - 1);
        return ring;
    }

    /// <summary>Cuts the plane along the contour and keeps the pieces that it winds around.</summary>
    private static IReadOnlyList<Polygon> FillNonZero(List<Point> ring, LinearRing line)
    {
        var polygonizer = new Polygonizer();
        polygonizer.Add(UnaryUnionNG.Union((Geometry)line, Overlay.Nanometers));
        var winding = new WindingIndex(ring);
        List<NetTopologySuite.Geometries.Polygon> kept = [.. polygonizer.GetPolygons()
            .Cast<NetTopologySuite.Geometries.Polygon>()
            .Where(face => winding.At(face.InteriorPoint.Coordinate) != 0)];
        if (kept.Count == 0) return [];
        return kept.Count == 1 ? Overlay.FromNts((Geometry)kept[0]) : Overlay.FromNts(UnaryUnionNG.Union((Geometry)Overlay.Factory.CreateGeometryCollection([.. kept]), Overlay.Nanometers));
    }

    private static bool CrossesMoreThan(LinearRing line, int limit)
    {
        var counter = new CrossingCounter(limit);
        var noder = new MCIndexNoder(counter);
        noder.ComputeNodes([new NodedSegmentString(line.Coordinates, null)]);
        return counter.IsDone;
    }

    /// <summary>Counts meetings of segments and stops the search once there are too many.</summary>
    private sealed class CrossingCounter(int limit) : ISegmentIntersector
    {
        private readonly NetTopologySuite.Algorithm.RobustLineIntersector intersector = new();
        private long candidates;
        private int crossings;

        public bool IsDone => crossings > limit || candidates > 1000L * limit;

        public void ProcessIntersections(ISegmentString e0, int segIndex0, ISegmentString e1, int segIndex1)
        {
            if (IsDone || Math.Abs(segIndex0 - segIndex1) <= 1) return;
            candidates++;
            intersector.ComputeIntersection(e0.Coordinates[segIndex0], e0.Coordinates[segIndex0 + 1], e1.Coordinates[segIndex1], e1.Coordinates[segIndex1 + 1]);
            if (intersector.HasIntersection) crossings++;
        }
    }

    /// <summary>Winding numbers of one ring, its edges sorted into bands of y.</summary>
    private sealed class WindingIndex
    {
        private readonly List<Point> ring;
        private readonly List<int>[] bands;
        private readonly double bottom;
        private readonly double perBand;

        public WindingIndex(List<Point> ring)
        {
            this.ring = ring;
            bottom = ring.Min(p => p.Y);
            bands = new List<int>[Math.Clamp(ring.Count / 8, 1, 2048)];
            for (int i = 0; i < bands.Length; i++) bands[i] = [];
            perBand = Math.Max((ring.Max(p => p.Y) - bottom) / bands.Length, double.Epsilon);
            for (int i = 0; i < ring.Count; i++) AddEdge(i);
        }

        public int At(Coordinate place)
        {
            int winding = 0;
            foreach (int i in bands[Band(place.Y)])
            {
                var (a, b) = (ring[i], ring[(i + 1) % ring.Count]);
                if (a.Y <= place.Y == b.Y <= place.Y) continue;
                double side = (b.X - a.X) * (place.Y - a.Y) - (place.X - a.X) * (b.Y - a.Y);
                if (b.Y > a.Y && side > 0) winding++;
                else if (b.Y < a.Y && side < 0) winding--;
            }
            return winding;
        }

        private void AddEdge(int i)
        {
            double y0 = ring[i].Y, y1 = ring[(i + 1) % ring.Count].Y;
            for (int band = Band(Math.Min(y0, y1)); band <= Band(Math.Max(y0, y1)); band++) bands[band].Add(i);
        }

        private int Band(double y) => Math.Clamp((int)((y - bottom) / perBand), 0, bands.Length - 1);
    }
}
