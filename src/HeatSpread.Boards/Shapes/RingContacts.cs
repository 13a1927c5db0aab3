namespace HeatSpread.Boards;

/// <summary>
/// Tells whether rings that meet at one place cross there or only touch: they cross where one chain of edges leads from one side of the
/// other to its other side. What lies within the tolerance counts as on the line.
/// </summary>
internal sealed class RingContacts(double tolerance)
{
    /// <summary>Vertices within the tolerance that are followed before a contact is taken for a touch.</summary>
    private const int LongestWalk = 64;

    private RingVertices _vertices = new();

    public void Use(RingVertices vertices) => _vertices = vertices;

    /// <summary>Where two edges, or the chains that end on them, cross.</summary>
    public RingCrossing? Crossing(int a, int b)
    {
        if (_vertices.Next(a) == b || _vertices.Next(b) == a || AreApart(a, b)) return null;
        bool touches = false;
        foreach (var (vertex, edge) in (ReadOnlySpan<(int, int)>)[(a, b), (_vertices.Next(a), b), (b, a), (_vertices.Next(b), a)])
        {
            if (DistanceFrom(edge, vertex) > tolerance) continue;
            touches = true;
            if (LeadsAcross(vertex, edge)) return Found(a, b, _vertices.At(vertex));
        }
        return touches || !CrossProperly(a, b) ? null : Found(a, b, Intersection(a, b));
    }

    /// <summary>Whether two edges in the order in which the line cuts them stand in the other order where the first of them ends.</summary>
    public bool WillCross(int below, int above)
    {
        bool belowEndsFirst = _vertices.Compare(_vertices.Upper(below), _vertices.Upper(above)) < 0;
        var end = _vertices.At(_vertices.Upper(belowEndsFirst ? below : above));
        return belowEndsFirst ? SideOfEdge(above, end) > 0 : SideOfEdge(below, end) < 0;
    }

    /// <summary>Where several chains pass through exactly one point: a crossing if their arms, in order of angle, do not pair up like brackets.</summary>
    public RingCrossing? CrossingAtPoint(ReadOnlySpan<int> visits)
    {
        var centre = _vertices.At(visits[0]);
        var arms = new List<(Point Target, int Visit)>(2 * visits.Length);
        foreach (int visit in visits)
        {
            arms.Add((_vertices.At(_vertices.Previous(visit)), visit));
            arms.Add((_vertices.At(_vertices.Next(visit)), visit));
        }
        arms.Sort((a, b) => CompareAngles(centre, a.Target, b.Target));
        var sector = new int[arms.Count];
        for (int i = 1; i < arms.Count; i++)
            sector[i] = sector[i - 1] + (CompareAngles(centre, arms[i - 1].Target, arms[i].Target) == 0 ? 0 : 1);
        return UnpairedVisits(arms, sector) is var (first, second) ? Found(first, second, centre) : null;
    }

    /// <summary>The first visit that closes while another opened after it is still open.</summary>
    private static (int First, int Second)? UnpairedVisits(List<(Point Target, int Visit)> arms, int[] sector)
    {
        var sectors = new Dictionary<int, (int Opens, int Closes)>();
        for (int i = 0; i < arms.Count; i++)
            sectors[arms[i].Visit] = sectors.TryGetValue(arms[i].Visit, out var known) ? (known.Opens, sector[i]) : (sector[i], sector[i]);
        var open = new Stack<int>();
        for (int start = 0, end; start < arms.Count; start = end)
        {
            for (end = start; end < arms.Count && sector[end] == sector[start];) end++;
            int here = sector[start];
            var visits = arms.GetRange(start, end - start).Select(arm => arm.Visit).Distinct().Where(visit => sectors[visit].Opens != sectors[visit].Closes).ToList();
            int closing = visits.Count(visit => sectors[visit].Closes == here);
            for (int i = 0; i < closing; i++)
            {
                int top = open.Pop();
                if (sectors[top].Closes != here) return (top, visits.First(visit => sectors[visit].Closes == here));
            }
            foreach (int visit in visits.Where(visit => sectors[visit].Opens == here).OrderByDescending(visit => sectors[visit].Closes)) open.Push(visit);
        }
        return null;
    }

    private static int CompareAngles(Point centre, Point a, Point b)
    {
        bool aIsLower = a.Y < centre.Y || (a.Y == centre.Y && a.X < centre.X), bIsLower = b.Y < centre.Y || (b.Y == centre.Y && b.X < centre.X);
        return aIsLower != bIsLower ? aIsLower.CompareTo(bIsLower) : -Orientation.Of(centre, a, b);
    }

    private bool AreApart(int a, int b)
    {
        Point p = _vertices.At(a), q = _vertices.At(_vertices.Next(a)), r = _vertices.At(b), s = _vertices.At(_vertices.Next(b));
        return Math.Min(p.X, q.X) > Math.Max(r.X, s.X) + tolerance || Math.Max(p.X, q.X) < Math.Min(r.X, s.X) - tolerance
            || Math.Min(p.Y, q.Y) > Math.Max(r.Y, s.Y) + tolerance || Math.Max(p.Y, q.Y) < Math.Min(r.Y, s.Y) - tolerance;
    }

    /// <summary>1 above an edge, -1 below it, 0 on its line.</summary>
    private int SideOfEdge(int edge, Point p) => Orientation.Of(_vertices.At(_vertices.Lower(edge)), _vertices.At(_vertices.Upper(edge)), p);

    private bool CrossProperly(int a, int b)
    {
        Point p = _vertices.At(a), q = _vertices.At(_vertices.Next(a)), r = _vertices.At(b), s = _vertices.At(_vertices.Next(b));
        return Orientation.Of(p, q, r) * Orientation.Of(p, q, s) < 0 && Orientation.Of(r, s, p) * Orientation.Of(r, s, q) < 0;
    }

    /// <summary>Whether the chain through a vertex that lies on an edge leads from one side of the edge to the other.</summary>
    private bool LeadsAcross(int vertex, int edge)
    {
        foreach (int end in (ReadOnlySpan<int>)[edge, _vertices.Next(edge)])
        {
            double distance = Distance(vertex, end);
            if (distance == 0) return false; // CrossingAtPoint has judged it
            if (distance <= tolerance) return ArmsInterleave(vertex, end);
        }
        return SideOf(edge, vertex, forward: false) * SideOf(edge, vertex, forward: true) < 0;
    }

    /// <summary>On which side a chain leaves the line of an edge; 0 where it cannot be told.</summary>
    private int SideOf(int edge, int vertex, bool forward)
    {
        Point a = _vertices.At(edge), b = _vertices.At(_vertices.Next(edge));
        int v = vertex;
        for (int step = 0; step < LongestWalk; step++)
        {
            v = forward ? _vertices.Next(v) : _vertices.Previous(v);
            if (v == vertex || v == edge || v == _vertices.Next(edge)) return 0;
            if (DistanceFrom(edge, v) <= tolerance) continue;
            var p = _vertices.At(v);
            double offset = ((b.X - a.X) * (p.Y - a.Y) - (b.Y - a.Y) * (p.X - a.X)) / double.Hypot(b.X - a.X, b.Y - a.Y);
            return Math.Abs(offset) <= tolerance ? 0 : Math.Sign(offset);
        }
        return 0;
    }

    /// <summary>For two vertices within the tolerance of each other: whether their arms alternate around them.</summary>
    private bool ArmsInterleave(int v, int w)
    {
        if (Arm(v, w, false) is not { } vBack || Arm(v, w, true) is not { } vOn || Arm(w, v, false) is not { } wBack || Arm(w, v, true) is not { } wOn) return false;
        double to = Turn(wBack, wOn);
        return Turn(wBack, vBack) < to != Turn(wBack, vOn) < to;
    }

    private static double Turn(double from, double to) => to >= from ? to - from : to - from + 2 * Math.PI;

    /// <summary>The direction in which a chain leaves a vertex, radians; null where it leads to the other vertex or along one of its arms.</summary>
    private double? Arm(int vertex, int other, bool forward)
    {
        int v = vertex;
        for (int step = 0; step < LongestWalk; step++)
        {
            v = forward ? _vertices.Next(v) : _vertices.Previous(v);
            if (v == vertex || v == other) return null;
            if (Distance(v, vertex) <= 2 * tolerance) continue;
            if (DistanceFrom(other, v) <= tolerance || DistanceFrom(_vertices.Previous(other), v) <= tolerance) return null;
            Point p = _vertices.At(v), centre = _vertices.At(vertex);
            return Math.Atan2(p.Y - centre.Y, p.X - centre.X);
        }
        return null;
    }

    private double Distance(int v, int w) => double.Hypot(_vertices.At(v).X - _vertices.At(w).X, _vertices.At(v).Y - _vertices.At(w).Y);

    private double DistanceFrom(int edge, int vertex) => Orientation.Distance(_vertices.At(vertex), _vertices.At(edge), _vertices.At(_vertices.Next(edge)));

    private Point Intersection(int a, int b)
    {
        Point p = _vertices.At(a), q = _vertices.At(_vertices.Next(a)), r = _vertices.At(b), s = _vertices.At(_vertices.Next(b));
        double dx = q.X - p.X, dy = q.Y - p.Y, ex = s.X - r.X, ey = s.Y - r.Y;
        double t = ((r.X - p.X) * ey - (r.Y - p.Y) * ex) / (dx * ey - dy * ex);
        return new Point(p.X + t * dx, p.Y + t * dy);
    }

    /// <summary>A place where too many edges cross by less than the tolerance.</summary>
    public RingCrossing Tangle(int a, int b) => Found(a, b, Intersection(a, b));

    private RingCrossing Found(int a, int b, Point at) =>
        new(_vertices.Ring(a), _vertices.Source(a), _vertices.Ring(b), _vertices.Source(b), at);
}
