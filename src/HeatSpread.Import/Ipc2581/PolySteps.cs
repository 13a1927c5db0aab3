using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

/// <summary>Chains of points from the steps of polygons and polylines.</summary>
internal static class PolySteps
{
    /// <summary>Points in mm, arcs as chords.</summary>
    /// <exception cref="UnreadableFileException">There is no beginning, or a place is out of bounds.</exception>
    public static List<Point> Path(XmlPart part, double unit)
    {
        if (part.Steps.Count == 0 || part.Steps[0].Kind != StepKind.Begin) throw part.Unreadable("must begin with <PolyBegin>");
        var path = new List<Point>(part.Steps.Count);
        foreach (var step in part.Steps)
        {
            var to = Scale(part, step.To, unit);
            if (step.Kind is StepKind.Begin or StepKind.Segment || path.Count == 0) path.Add(to);
            else AppendArc(path, to, Scale(part, step.Center, unit), step.Kind == StepKind.Clockwise);
        }
        return path;
    }

    /// <summary>The arc from a path's last point to another one; equal ends are a full circle.</summary>
    public static void AppendArc(List<Point> path, Point to, Point center, bool clockwise)
    {
        var from = path[^1];
        if (from == center) path.Add(to);
        else Arcs.Append(path, from, to, center, Arcs.Sweep(from, to, center, clockwise));
    }

    private static Point Scale(XmlPart part, Point p, double unit)
    {
        var place = new Point(Lengths.Round(p.X * unit), Lengths.Round(p.Y * unit));
        return Math.Abs(place.X) < Lengths.Farthest && Math.Abs(place.Y) < Lengths.Farthest ? place : throw part.Unreadable("must lie within 9 m of the origin");
    }
}
