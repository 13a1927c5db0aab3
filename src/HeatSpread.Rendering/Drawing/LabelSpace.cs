using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>Keeps labels apart: remembers what is taken and finds free places.</summary>
/// <param name="area">Labels stay within it.</param>
internal sealed class LabelSpace(SKRect area)
{
    private readonly List<SKRect> taken = [];

    public void Take(SKRect box) => taken.Add(box);

    public bool IsFree(SKRect box) => area.Contains(box) && !taken.Exists(t => t.IntersectsWith(box));

    /// <summary>Takes the first free place of a label.</summary>
    /// <param name="size">Of the label.</param>
    /// <param name="centres">Places wanted, best first.</param>
    /// <returns>The label's box, or null where every place is taken.</returns>
    public SKRect? Place(SKSize size, IEnumerable<SKPoint> centres)
    {
        foreach (var c in centres)
        {
            var box = SKRect.Create(c.X - size.Width / 2, c.Y - size.Height / 2, size.Width, size.Height);
            if (!IsFree(box)) continue;
            Take(box);
            return box;
        }
        return null;
    }

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
