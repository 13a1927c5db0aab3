using CsCheck;
using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Boards;

/// <summary>The sweep against a look at all pairs of edges, and on shapes that defeat methods by boxes.</summary>
public sealed class RingSweepTests
{
    private const double Tolerance = 1e-3;

    [Fact]
    public void Agrees_with_all_pairs_on_rings_in_general_position()
    {
        var points = Gen.Select(Gen.Double[0, 10], Gen.Double[0, 10]).Select((x, y) => new Point(x, y));
        points.List[3, 12].Sample(ring =>
        {
            bool crosses = Sweep(ring) is not null;
            if (AnyProperCrossing(ring, deeperThan: 0.01)) Assert.True(crosses);
            else if (!AnyContact(ring, closerThan: 0.01)) Assert.False(crosses);
        }, iter: 20_000, threads: 1);
    }

    [Fact]
    public void Finds_every_crossing_on_a_small_grid_where_nearly_everything_touches()
    {
        var points = Gen.Select(Gen.Int[0, 4], Gen.Int[0, 4]).Select((x, y) => new Point(x, y));
        points.List[3, 9].Sample(ring =>
        {
            if (!AnyOverlap(ring) && (AnyProperCrossing(ring, deeperThan: 0.01) || AnyCrossingThroughVertex(ring))) Assert.NotNull(Sweep(ring));
        }, iter: 20_000, threads: 1);
    }

    [Fact]
    public void Finds_every_deep_crossing_among_edges_that_cross_within_the_tolerance()
    {
        // places on a small grid, each missed by less than the tolerance: edges run along each other and cross several times on the way
        var coordinate = Gen.Select(Gen.Int[0, 3], Gen.Double[-0.9 * Tolerance, 0.9 * Tolerance]).Select((place, miss) => place + miss);
        var points = Gen.Select(coordinate, coordinate).Select((x, y) => new Point(x, y));
        points.List[4, 9].Sample(ring =>
        {
            if (AnyProperCrossing(ring, deeperThan: 0.01)) Assert.NotNull(Sweep(ring));
        }, iter: 60_000, threads: 1);
    }

    /// <summary>A strip turned over: each of its edges crosses all others but two within the tolerance.</summary>
    [Theory]
    [InlineData(60, false)]
    [InlineData(2_000, true)] // two million crossings: refused, and soon
    public void A_tangle_within_the_tolerance_touches_unless_it_is_vast(int count, bool isRefused)
    {
        var crossing = Sweep([.. Enumerable.Range(0, count).Select(i => new Point(i % 2 * 10, (1 - 2 * (i % 2)) * 0.6e-3 * (i / 2) / count))]);

        Assert.Equal(isRefused, crossing.HasValue);
        if (crossing is not { } found) return;
        Assert.InRange(found.At.X, 4, 6);
        Assert.InRange(found.At.Y, -Tolerance, Tolerance);
    }

    [Fact]
    public void Finds_no_crossing_in_rings_that_have_none()
    {
        // a star-shaped ring about the origin never crosses itself, whatever its radii
        var radii = Gen.Double[0.5, 10].List[3, 60];
        radii.Sample(list => Assert.Null(Sweep([.. list.Select((r, i) => Polar(r, Math.Tau * i / list.Count))])), iter: 2_000, threads: 1);
    }

    [Theory]
    [InlineData("0 0, 10 0, 5 5, 10 10, 0 10, 5 5")] // two triangles that touch
    [InlineData("0 0, 10 0, 10 10, 5 0, 0 10")] // a vertex on an edge, both arms on one side
    [InlineData("0 0, 10 0, 10 10, 0 10, 0 5, 4 5, 4 6, 5 6, 5 5, 4 5, 0 5")] // a hole joined by a cut that runs there and back
    [InlineData("0 0, 4 0, 4 1, 6 1, 6 0, 10 0, 10 10, 6 10, 6 1, 4 1, 4 10, 0 10")] // a line run along twice
    [InlineData("0 0, 5 0, 5 3, 5 0, 10 0, 10 10, 0 10")] // a spike
    [InlineData("0 0, 10 0, 10 10, 5 -0.0005, 0 10")] // dips through an edge by half the tolerance
    [InlineData("0 0, 0 0, 10 0, 10 0, 10 10, 0 0")] // repeated positions
    public void Touching_is_no_crossing(string ring) => Assert.Null(Sweep(Parse(ring)));

    [Fact]
    public void Touching_within_the_tolerance_is_no_crossing_either()
    {
        // those of the rings below in which no two chains run along each other from exactly one point on: there their directions at the point decide
        string[] rings = ["0 0, 10 0, 5 5, 10 10, 0 10, 5 5", "0 0, 10 0, 10 10, 5 0, 0 10", "0 0, 5 0, 5 3, 5 0, 10 0, 10 10, 0 10"];
        var miss = Gen.Select(Gen.Double[-0.3 * Tolerance, 0.3 * Tolerance], Gen.Double[-0.3 * Tolerance, 0.3 * Tolerance]);
        Gen.Select(Gen.Int[0, rings.Length - 1].Select(k => rings[k]), miss.List[12]).Sample((ring, misses) =>
            Assert.Null(Sweep([.. Parse(ring).Zip(misses, (p, m) => new Point(p.X + m.Item1, p.Y + m.Item2))])), iter: 20_000, threads: 1);
    }

    [Theory]
    [InlineData("0 0, 10 10, 10 0, 0 10", 5, 5)]
    [InlineData("0 0, 10 0, 10 10, 5 -0.002, 0 10", 5, 0)] // dips through by twice the tolerance
    [InlineData("0 0, 10 0, 10 5, 5 0, 0 -5", 5, 0)] // passes through an edge at a vertex
    [InlineData("0 0, 5 5, 10 10, 10 0, 5 5, 0 10", 5, 5)] // two chains alternate around a common vertex
    [InlineData("0 0, 10 0, 10 5, 7 0, 3 0, 3 -5, 0 -5", 3, 0)] // runs along an edge from one side to the other
    [InlineData("0 4.84, 3.52941 0, 0.7826 0, 0 0.57067, 0.00017 8.05132, 0 0.19277, 0 0.88235, 0 0, 0.00001 3.62785, 6.26 0", 1.5309, 2.7407)] // beside edges that cross by less than the tolerance
    public void Crossing_is_found_where_it_is(string ring, double x, double y)
    {
        var crossing = Sweep(Parse(ring));

        Assert.NotNull(crossing);
        Assert.Equal((x, y), (crossing.Value.At.X, crossing.Value.At.Y), Near);
    }

    [Theory]
    [InlineData("-10 0, 10 0, 10 9, 0 9, 0 0, 0 -9, -10 -9; 0 0, 9 1, 5 5; 0 0, -9 1, -5 5; 0 0, -9 -1, -5 -5; 0 0, 9 -1, 5 -5")] // a figure of eight and four triangles that touch both of its branches
    [InlineData("-10 0, 8 0, 40 0, 40 20, 9 9, 0 0, 9 -9, -10 -9; 0 0, 30 3, 30 6; 0 0, 30 -6, 30 -3")] // all that meets the edge comes from one side
    public void Crossing_through_an_edge_is_found_between_rings_that_touch_there(string rings)
    {
        var crossing = new RingSweep(Tolerance).FindCrossing([.. rings.Split("; ").Select(Parse)]);

        Assert.Equal(new Point(0, 0), crossing?.At);
    }

    [Fact]
    public void Names_the_edges_by_the_ring_as_given()
    {
        var crossing = Sweep(Parse("0 0, 0 0, 10 10, 10 10, 10 0, 0 10"))!.Value;

        Assert.Equal([1, 4], new[] { crossing.EdgeA, crossing.EdgeB }.Order());
    }

    [Fact]
    public void Tells_what_each_ring_lies_in()
    {
        var sweep = new RingSweep(Tolerance);
        IReadOnlyList<Point> Box(double x0, double y0, double x1, double y1, bool clockwise) =>
            clockwise ? [new(x0, y0), new(x0, y1), new(x1, y1), new(x1, y0)] : [new(x0, y0), new(x1, y0), new(x1, y1), new(x0, y1)];
        foreach (bool clockwise in (bool[])[false, true])
        {
            var crossing = sweep.FindCrossing([Box(0, 0, 10, 10, clockwise), Box(1, 1, 4, 9, !clockwise), Box(2, 2, 3, 3, clockwise), Box(5, 1, 9, 9, clockwise), Box(20, 0, 21, 1, false), Box(4, 4, 5, 5, true), Box(0, 3, 0.5, 4, true)]);

            Assert.Null(crossing);
            Assert.Equal([-1, 0, 1, 0, -1, 0, 0], sweep.Containers);
        }
    }

    [Theory]
    [InlineData("0 0, 10 0, 10 10, 0 10", true)]
    [InlineData("0 0, 0 10, 10 10, 10 0", true)]
    [InlineData("0 0, 10 0, 5 8", true)]
    [InlineData("0 0, 5 0, 10 0, 5 8", false)] // three points on a line: left to the sweep
    [InlineData("0 0, 10 0, 10 10, 5 5, 0 10", false)]
    [InlineData("0 0, 10 10, 10 0, 0 10", false)]
    [InlineData("0 10, 6 -8, -9.5 3, 9.5 3, -6 -8", false)] // a five-pointed star turns one way and goes round twice
    public void Convex_rings_are_known_at_one_look(string ring, bool isConvex) => Assert.Equal(isConvex, ConvexRing.IsStrictlyConvex(Parse(ring)));

    [Theory]
    [InlineData("circle")]
    [InlineData("star")]
    [InlineData("comb")]
    [InlineData("twist")]
    public void Two_hundred_thousand_vertices_are_swept_in_n_log_n(string shape)
    {
        // by boxes the star and the slanted comb would take 10^9 and more comparisons of edges
        const int Count = 200_000;
        Point[] ring = shape switch
        {
            "circle" => [.. Enumerable.Range(0, Count).Select(i => Polar(50, Math.Tau * i / Count))],
            "star" => [.. Enumerable.Range(0, Count).Select(i => Polar(i % 2 == 0 ? 20 : 50, Math.Tau * i / Count))],
            "twist" => [.. Enumerable.Range(0, Count).Select(i => new Point(Math.Min(i, Count - 1 - i) * 1e-2, i % 2 * 0.9 * Tolerance))], // crosses its way there on its way back
            _ => [.. Enumerable.Range(0, Count - 2).Select(i => Slanted(i * 5e-4, i % 4 is 0 or 3 ? 1 : 90)), Slanted(Count * 5e-4, 0), Slanted(0, 0)],
        };

        Assert.Null(Sweep(ring));
        if (shape == "twist") (ring[Count / 8], ring[Count / 4 * 3]) = (new Point(600, 300), new Point(200, 300));
        else ring[Count / 2] = new Point(200, 300);
        Assert.NotNull(Sweep(ring));
    }

    private static bool Near((double X, double Y) a, (double X, double Y) b) => Math.Abs(a.X - b.X) < 0.01 && Math.Abs(a.Y - b.Y) < 0.01;

    private static RingCrossing? Sweep(IReadOnlyList<Point> ring) => new RingSweep(Tolerance).FindCrossing([ring]);

    private static Point Polar(double radius, double angle) => new(radius * Math.Cos(angle), radius * Math.Sin(angle));

    private static Point Slanted(double x, double y) => new(x - y, x + y);

    private static List<Point> Parse(string ring) =>
        [.. ring.Split(", ").Select(pair => pair.Split(' ')).Select(pair => new Point(double.Parse(pair[0], null), double.Parse(pair[1], null)))];

    /// <summary>Whether two edges cross, all four ends farther than a distance from the other edge.</summary>
    private static bool AnyProperCrossing(List<Point> ring, double deeperThan)
    {
        var edges = ring.Select((p, i) => (From: p, To: ring[(i + 1) % ring.Count])).ToList();
        return edges.Any(a => edges.Any(b =>
            Side(a, b.From) * Side(a, b.To) < 0 && Side(b, a.From) * Side(b, a.To) < 0
            && Depth(a, b) > deeperThan));
    }

    /// <summary>Whether a vertex is near an edge that does not end there.</summary>
    private static bool AnyContact(List<Point> ring, double closerThan) => ring.Where((p, i) => ring.Where((q, j) =>
        i != j && i != (j + 1) % ring.Count && Orientation.Distance(p, q, ring[(j + 1) % ring.Count]) < closerThan).Any()).Any();

    private static double Depth((Point From, Point To) a, (Point From, Point To) b) => new[]
    {
        Orientation.Distance(a.From, b.From, b.To), Orientation.Distance(a.To, b.From, b.To),
        Orientation.Distance(b.From, a.From, a.To), Orientation.Distance(b.To, a.From, a.To),
    }.Min();

    /// <summary>Whether two edges run along one another for a way.</summary>
    private static bool AnyOverlap(List<Point> ring)
    {
        var edges = ring.Select((p, i) => (From: p, To: ring[(i + 1) % ring.Count])).Where(edge => edge.From != edge.To).ToList();
        return edges.Where((a, i) => edges.Skip(i + 1).Any(b => Side(a, b.From) == 0 && Side(a, b.To) == 0 && Math.Max(Along(a, b.From), Along(a, b.To)) > 0 && Math.Min(Along(a, b.From), Along(a, b.To)) < Along(a, a.To))).Any();
    }

    private static double Along((Point From, Point To) edge, Point p) => (p.X - edge.From.X) * (edge.To.X - edge.From.X) + (p.Y - edge.From.Y) * (edge.To.Y - edge.From.Y);

    /// <summary>Whether a vertex inside an edge has its two neighbours on different sides of that edge.</summary>
    private static bool AnyCrossingThroughVertex(List<Point> ring)
    {
        var distinct = ring.Where((p, i) => p != ring[(i + 1) % ring.Count]).ToList();
        for (int i = 0; i < distinct.Count; i++)
        {
            Point before = distinct[(i + distinct.Count - 1) % distinct.Count], here = distinct[i], after = distinct[(i + 1) % distinct.Count];
            for (int j = 0; j < distinct.Count; j++)
            {
                var edge = (From: distinct[j], To: distinct[(j + 1) % distinct.Count]);
                bool inside = here != edge.From && here != edge.To && Orientation.Distance(here, edge.From, edge.To) == 0;
                if (inside && Side(edge, before) * Side(edge, after) < 0) return true;
            }
        }
        return false;
    }

    private static int Side((Point From, Point To) edge, Point p) => Orientation.Of(edge.From, edge.To, p);
}
