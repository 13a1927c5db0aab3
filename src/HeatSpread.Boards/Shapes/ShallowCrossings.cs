using System.Numerics;

namespace HeatSpread.Boards;

/// <summary>
/// The places still to come where two edges cross by less than the tolerance, first the one that the sweep's line meets first (the queue of
/// Bentley and Ottmann, "Algorithms for reporting and counting geometric intersections", 1979). The places are kept as fractions and compared
/// without rounding (of vertices on the lattice of <see cref="RingVertices"/>): one exchange told out of turn leaves edges in an order in which a deep crossing elsewhere can be missed.
/// </summary>
internal sealed class ShallowCrossings
{
    private readonly PriorityQueue<(int Below, int Above), Place> _ahead = new();

    public bool IsEmpty => _ahead.Count == 0;

    public void Clear() => _ahead.Clear();

    /// <param name="vertices">The edges' vertices.</param>
    /// <param name="below">An edge that is lower until the crossing.</param>
    /// <param name="above">An edge that crosses it properly.</param>
    public void Add(RingVertices vertices, int below, int above)
    {
        var (px, py) = vertices.OnLattice(below);
        var (qx, qy) = vertices.OnLattice(vertices.Next(below));
        var (rx, ry) = vertices.OnLattice(above);
        var (sx, sy) = vertices.OnLattice(vertices.Next(above));
        BigInteger dx = qx - px, dy = qy - py, ex = sx - rx, ey = sy - ry;
        BigInteger along = (rx - px) * ey - (ry - py) * ex, whole = dx * ey - dy * ex;
        if (whole.Sign < 0) (along, whole) = (-along, -whole);
        _ahead.Enqueue((below, above), new Place(px * whole + along * dx, py * whole + along * dy, whole));
    }

    /// <summary>Takes the next crossing if the line meets it no later than a vertex.</summary>
    public bool TryTakeUpTo((BigInteger X, BigInteger Y) vertex, out (int Below, int Above) pair)
    {
        if (!_ahead.TryPeek(out pair, out var place) || place.CompareTo(new Place(vertex.X, vertex.Y, BigInteger.One)) > 0) return false;
        _ahead.Dequeue();
        return true;
    }

    /// <summary>A point in units of the lattice, both coordinates over one positive denominator; ordered by x, then by y.</summary>
    private readonly record struct Place(BigInteger X, BigInteger Y, BigInteger Denominator) : IComparable<Place>
    {
        public int CompareTo(Place other)
        {
            int order = (X * other.Denominator).CompareTo(other.X * Denominator);
            return order != 0 ? order : (Y * other.Denominator).CompareTo(other.Y * Denominator);
        }
    }
}
