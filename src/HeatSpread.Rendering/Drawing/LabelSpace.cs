using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Keeps labels apart: remembers what is taken and finds free places.</summary>
/// <param name="area">Labels stay within it.</param>
/// <param name="board">Plain labels, which have no ground of their own, stay within it too, px.</param>
internal sealed class LabelSpace(SKRect area, SKPath board)
{
    private readonly List<SKRect> _taken = [];

    public void Take(SKRect box) => _taken.Add(box);

    public bool IsFree(SKRect box) => area.Contains(box) && !_taken.Exists(t => t.IntersectsWith(box));

    public bool IsFreeOnBoard(SKRect box) => IsFree(box) && board.Contains(box.Left, box.Top) && board.Contains(box.Right, box.Top)
        && board.Contains(box.Right, box.Bottom) && board.Contains(box.Left, box.Bottom) && board.Contains(box.MidX, box.MidY);

    /// <summary>Takes the first free place of a label that has its own ground.</summary>
    /// <param name="size">Of the label.</param>
    /// <param name="centres">Places wanted, best first.</param>
    /// <returns>The label's box, or null where every place is taken.</returns>
    public SKRect? Place(SKSize size, IEnumerable<SKPoint> centres) => TakeFirst(centres.Select(c => BoxAt(c, size)), IsFree);

    /// <summary>Takes the first free place of a plain label on the board, away from other things if there is one.</summary>
    /// <param name="size">Of the label.</param>
    /// <param name="centres">Places wanted, best first.</param>
    /// <param name="avoid">Boxes that the label should not cover.</param>
    /// <param name="mustAvoid">Rather no label than one over such a box.</param>
    /// <returns>The label's box, or null where every place is taken.</returns>
    public SKRect? PlaceOnBoard(SKSize size, IEnumerable<SKPoint> centres, IReadOnlyList<SKRect> avoid, bool mustAvoid)
    {
        var boxes = centres.Select(c => BoxAt(c, size)).ToList();
        return TakeFirst(boxes, box => IsFreeOnBoard(box) && !avoid.Any(a => a.IntersectsWith(box))) ?? (mustAvoid ? null : TakeFirst(boxes, IsFreeOnBoard));
    }

    private SKRect? TakeFirst(IEnumerable<SKRect> boxes, Predicate<SKRect> isGood)
    {
        foreach (var box in boxes)
        {
            if (!isGood(box)) continue;
            Take(box);
            return box;
        }
        return null;
    }

    private static SKRect BoxAt(SKPoint centre, SKSize size) => SKRect.Create(centre.X - size.Width / 2, centre.Y - size.Height / 2, size.Width, size.Height);

    /// <summary>Centres of labels around a box: above, below, right, left, then the corners.</summary>
    public static IEnumerable<SKPoint> Around(SKRect box, SKSize label, float gap)
    {
        float up = box.Top - gap - label.Height / 2, down = box.Bottom + gap + label.Height / 2;
        float left = box.Left - gap - label.Width / 2, right = box.Right + gap + label.Width / 2;
        yield return new(box.MidX, up);
        yield return new(box.MidX, down);
        yield return new(right, box.MidY);
        yield return new(left, box.MidY);
        yield return new(right, up);
        yield return new(left, up);
        yield return new(right, down);
        yield return new(left, down);
    }
}
