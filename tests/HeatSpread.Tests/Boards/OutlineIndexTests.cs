using CsCheck;
using HeatSpread.Boards;
using NetTopologySuite.Geometries;
using NetTopologySuite.Operation.Distance;
using Xunit;
using Point = HeatSpread.Boards.Point;
using Polygon = HeatSpread.Boards.Polygon;

namespace HeatSpread.Tests.Boards;

/// <summary>What lies on a board with a notch, a slit and openings, against the predicates of NetTopologySuite.</summary>
public sealed class OutlineIndexTests
{
    private const double Tolerance = 1e-3;

    private static readonly Polygon Outline = new(
        [new(0, 0), new(20, 0), new(20, 20), new(12, 20), new(12, 8), new(11.9, 8), new(11.9, 20), new(8, 20), new(5, 12), new(2, 20), new(0, 20)],
        [[new(4, 4), new(6, 4), new(6, 6), new(4, 6)], [new(15, 5), new(17, 7), new(15, 9), new(13, 7)]]);

    private static readonly OutlineIndex Index = new(new Region([Outline]), Tolerance);
    private static readonly Geometry Reference = ToGeometry(Outline);
    private static readonly Geometry Grown = Reference.Buffer(3 * Tolerance), Shrunk = Reference.Buffer(-3 * Tolerance);

    private static readonly Gen<Polygon> Shape = Gen.Select(Gen.Double[-3, 23], Gen.Double[-3, 23], Gen.Double[0.1, 9], Gen.Int[3, 8], Gen.Double[0, Math.Tau])
        .Select((x, y, size, corners, turn) => new Polygon([.. Enumerable.Range(0, corners).Select(i => turn + Math.Tau * i / corners).Select(angle => new Point(x + size * Math.Cos(angle), y + 0.4 * size * Math.Sin(angle)))]));

    [Fact]
    public void Shapes_on_the_board_are_told_from_those_that_reach_outside() => Shape.Sample(shape =>
    {
        var geometry = ToGeometry(shape);
        if (IsAtTheBorder(geometry)) return;
        var outside = Index.FirstOutside(new Region([shape]));

        Assert.Equal(Reference.Covers(geometry), outside is null);
        if (outside is { } p) Assert.False(Reference.Contains(new NetTopologySuite.Geometries.Point(p.X, p.Y)));
    }, iter: 2_000, threads: 1);

    [Fact]
    public void Shapes_partly_on_the_board_are_told_from_those_wholly_off_it() => Shape.Sample(shape =>
    {
        var geometry = ToGeometry(shape);
        if (!IsAtTheBorder(geometry)) Assert.Equal(Reference.Intersects(geometry), Index.Overlaps(new Region([shape])));
    }, iter: 2_000, threads: 1);

    [Fact]
    public void Points_within_the_tolerance_of_the_rim_are_on_the_board()
    {
        Assert.True(Index.Holds(new Point(-0.0009, 10)));
        Assert.False(Index.Holds(new Point(-0.0011, 10)));
        Assert.True(Index.Holds(new Point(4.0009, 5)));
        Assert.False(Index.Holds(new Point(4.0011, 5)));
    }

    [Fact]
    public void A_shape_over_a_slit_or_filling_an_opening_is_outside()
    {
        Assert.NotNull(Index.FirstOutside(Rectangle(11, 9, 13, 10))); // over the slit, all corners on the board
        Assert.NotNull(Index.FirstOutside(Rectangle(4, 4, 6, 6))); // the opening itself
        Assert.NotNull(Index.FirstOutside(Rectangle(3, 3, 7, 7))); // around the opening
        Assert.Null(Index.FirstOutside(Rectangle(6, 4, 8, 6))); // beside it, edge to edge
        Assert.Null(Index.FirstOutside(Rectangle(12, 10, 20, 20)));
    }

    private static Region Rectangle(double x0, double y0, double x1, double y1) => new([new Polygon([new(x0, y0), new(x1, y0), new(x1, y1), new(x0, y1)])]);

    /// <summary>So near the rim that the tolerance decides.</summary>
    private static bool IsAtTheBorder(Geometry shape)
    {
        bool covered = Reference.Covers(shape), nearlyCovered = Grown.Covers(shape), well = Shrunk.Covers(shape);
        bool touches = Reference.Intersects(shape) != Shrunk.Intersects(shape);
        return covered != nearlyCovered || covered != well || touches || DistanceOp.IsWithinDistance(Reference, shape, 0) != DistanceOp.IsWithinDistance(Reference, shape, 3 * Tolerance);
    }

    private static NetTopologySuite.Geometries.Polygon ToGeometry(Polygon polygon) => new NetTopologySuite.Geometries.Polygon(Ring(polygon.Outer), [.. polygon.Holes.Select(Ring)]);

    private static LinearRing Ring(IReadOnlyList<Point> ring) => new([.. ring.Append(ring[0]).Select(p => new Coordinate(p.X, p.Y))]);
}
