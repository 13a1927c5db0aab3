using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Gerber;

/// <summary>
/// Collects painted objects: strokes that continue each other become one, blocks (of step and repeat, of block apertures) are collected apart
/// and copied, and everything is counted against the limits.
/// </summary>
internal sealed class ObjectSink(ImportLimits limits)
{
    private const int MaxStrokePoints = 20_000;

    private readonly Stack<List<GraphicObject>> blocks = [];
    private readonly List<GraphicObject> image = [];
    private StrokeInProgress? stroke;
    private long objects;
    private long points;

    public int Depth => blocks.Count;

    /// <summary>The commands' place, for faults.</summary>
    public int Line { get; set; }

    private List<GraphicObject> Target => blocks.Count > 0 ? blocks.Peek() : image;

    public void Add(GraphicObject item)
    {
        EndStroke();
        Count(1, item.Shape.PointCount);
        Target.Add(item);
    }

    /// <summary>Adds a draw with a round aperture; it lengthens the stroke before it where it begins at that one's end and is of its kind.</summary>
    /// <param name="path">From the current point on, at least one point.</param>
    /// <param name="width">mm.</param>
    /// <param name="isDark">Polarity.</param>
    /// <param name="attributes">Of the draw.</param>
    public void AddStroke(IReadOnlyList<Point> path, double width, bool isDark, ObjectAttributes attributes)
    {
        Count(0, path.Count);
        if (stroke is { } open && open.Continues(path[0], width, isDark, attributes)) open.Path.AddRange(path.Skip(1));
        else
        {
            EndStroke();
            Count(1, 0);
            stroke = new StrokeInProgress([.. path], width, isDark, attributes);
        }
    }

    public void BeginBlock()
    {
        EndStroke();
        if (blocks.Count >= limits.MaxNesting) throw new UnreadableFileException(Line, 1, $"blocks may be nested {limits.MaxNesting} deep at most");
        blocks.Push([]);
    }

    public IReadOnlyList<GraphicObject> EndBlock()
    {
        EndStroke();
        return blocks.Pop();
    }

    /// <summary>Paints a copy of a block.</summary>
    /// <param name="block">Objects about the origin.</param>
    /// <param name="transform">Of the copy.</param>
    /// <param name="toggle">Dark becomes clear and clear dark.</param>
    public void AddCopy(IReadOnlyList<GraphicObject> block, in PlaneTransform transform, bool toggle)
    {
        EndStroke();
        Count(block.Count, 0); // before the work is done
        foreach (var item in block)
        {
            Count(0, item.Shape.PointCount);
            Target.Add(item with { Shape = item.Shape.Transform(transform), IsDark = item.IsDark ^ toggle });
        }
    }

    public IReadOnlyList<GraphicObject> Finish()
    {
        while (blocks.Count > 0)
        {
            var open = EndBlock();
            Target.AddRange(open);
        }
        EndStroke();
        return image;
    }

    private void EndStroke()
    {
        if (stroke is not { } done) return;
        stroke = null;
        Target.Add(new GraphicObject(ObjectKind.Draw, new StrokeShape(WithoutRepeats(done.Path), done.Width), done.IsDark, done.Attributes));
    }

    private static List<Point> WithoutRepeats(List<Point> path)
    {
        var result = new List<Point>(path.Count);
        foreach (var p in path)
        {
            if (result.Count == 0 || result[^1] != p) result.Add(p);
        }
        return result;
    }

    private void Count(long moreObjects, long morePoints)
    {
        objects += moreObjects;
        points += morePoints;
        if (objects > limits.MaxObjects) throw new UnreadableFileException(Line, 1, $"a file may paint {limits.MaxObjects} objects at most, repeats counted, and this one has more");
        if (points > limits.MaxPoints) throw new UnreadableFileException(Line, 1, $"a file may paint {limits.MaxPoints} points at most, repeats counted, and this one has more");
    }

    private sealed record StrokeInProgress(List<Point> Path, double Width, bool IsDark, ObjectAttributes Attributes)
    {
        public bool Continues(Point start, double width, bool isDark, ObjectAttributes attributes) =>
            Path[^1] == start && Path.Count < MaxStrokePoints && Width == width && IsDark == isDark && ReferenceEquals(Attributes, attributes);
    }
}
