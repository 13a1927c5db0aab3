using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Sets the blocks of a report one after the other.</summary>
/// <param name="flow">Where they go.</param>
internal sealed class BlockSetter(PageFlow flow)
{
    private const float NameWidth = 128, PictureWidth = 168, BulletIndent = 11, BoxPad = 8;

    public void Set(ReportBlock block)
    {
        switch (block)
        {
            case Paragraph { KeepsWithNext: true } paragraph: Await(TextStyle.Body, paragraph.Text, 0, 6); break;
            case Paragraph paragraph: Set(TextLines.Break(paragraph.Text, paragraph.IsNote ? TextStyle.Note : TextStyle.Body, flow.Width), 0, 6); break;
            case SubHeading heading: Await(TextStyle.SubHeading, heading.Text, 5, 3); break;
            case BulletList list: Set(list); break;
            case FactList list: Set(list); break;
            case VerdictBox box: Set(box); break;
            case WritingLines lines: Set(lines); break;
            case ReportTable table: TableSetter.Set(flow, table); break;
            case Figure figure: PictureSetter.Set(flow, figure); break;
            case FigureGrid grid: PictureSetter.Set(flow, grid); break;
            case FindingEntry entry: Set(entry); break;
            default: throw new ArgumentException($"no way to set {block.GetType().Name}", nameof(block));
        }
    }

    /// <summary>A heading, which goes to the page of what follows it.</summary>
    public void Await(TextStyle style, string text, float before, float after)
    {
        flow.Gap(before);
        var lines = TextLines.Break(text, style, flow.Width);
        flow.Await(lines.Height + after, (canvas, top) => lines.Draw(canvas, flow.Left, top));
    }

    /// <summary>Line by line, never one line of a paragraph alone on a page.</summary>
    private void Set(TextLines text, float indent, float after, Action<SKCanvas, float>? beside = null)
    {
        const int together = 2;
        int done = 0, count = text.Lines.Count;
        while (done < count)
        {
            int left = count - done, take = left <= together + 1 ? left : done == 0 ? together : 1;
            var part = text with { Lines = [.. text.Lines.Skip(done).Take(take)] };
            bool isFirst = done == 0;
            flow.Place(part.Height, (canvas, top) =>
            {
                if (isFirst) beside?.Invoke(canvas, top);
                part.Draw(canvas, flow.Left + indent, top);
            });
            done += take;
        }
        flow.Gap(after);
    }

    private void Set(BulletList list)
    {
        var dot = TextLines.Break("·", TextStyle.Strong, BulletIndent);
        foreach (string item in list.Items) Set(TextLines.Break(item, TextStyle.Body, flow.Width - BulletIndent), BulletIndent, 2, (canvas, top) => dot.Draw(canvas, flow.Left + 3, top));
        flow.Gap(5);
    }

    /// <summary>Kept together where that leaves no great gap.</summary>
    private void Set(FactList list)
    {
        (TextLines Name, TextLines Value)[] facts = [.. list.Facts.Select(fact => (TextLines.Break(fact.Name, TextStyle.Name, NameWidth - 8), TextLines.Break(fact.Value, TextStyle.Body, flow.Width - NameWidth)))];
        if (facts.Sum(Height) < flow.PageHeight / 4) PlaceFacts(facts);
        else foreach (var fact in facts) PlaceFacts([fact]);
        flow.Gap(8);
    }

    private static float Height((TextLines Name, TextLines Value) fact) => Math.Max(fact.Name.Height, fact.Value.Height) + 1.5f;

    private void PlaceFacts((TextLines Name, TextLines Value)[] facts) => flow.Place(facts.Sum(Height), (canvas, top) =>
    {
        foreach (var fact in facts)
        {
            fact.Name.Draw(canvas, flow.Left, top);
            fact.Value.Draw(canvas, flow.Left + NameWidth, top);
            top += Height(fact);
        }
    });

    private void Set(VerdictBox box)
    {
        var ink = box.Pass ? ReportLook.Pass : ReportLook.Fail;
        var words = TextLines.Break(box.Words, new TextStyle(13, true, ink), flow.Width - 2 * BoxPad);
        TextLines[] reasons = [.. box.Reasons.Take(Most).Select(reason => TextLines.Break(reason, TextStyle.Body, flow.Width - 2 * BoxPad))];
        float height = 2 * BoxPad + words.Height + reasons.Sum(reason => reason.Height + 2);
        flow.Place(height, (canvas, top) =>
        {
            DrawFrame(canvas, SKRect.Create(flow.Left, top, flow.Width, height), ink);
            words.Draw(canvas, flow.Left + BoxPad, top + BoxPad);
            float y = top + BoxPad + words.Height;
            foreach (var reason in reasons)
            {
                reason.Draw(canvas, flow.Left + BoxPad, y + 2);
                y += reason.Height + 2;
            }
        });
        flow.Gap(9);
        if (box.Reasons.Count > Most) Set(new BulletList([.. box.Reasons.Skip(Most)]));
    }

    /// <summary>Reasons within the frame of a verdict; more follow it as a list, which may break over pages.</summary>
    private const int Most = 8;

    private static void DrawFrame(SKCanvas canvas, SKRect box, SKColor ink)
    {
        using var paint = new SKPaint { IsAntialias = true, Color = ink };
        canvas.DrawRect(SKRect.Create(box.Left, box.Top, 3, box.Height), paint);
        paint.Style = SKPaintStyle.Stroke;
        paint.StrokeWidth = 0.8f;
        box.Inflate(-0.4f, -0.4f);
        canvas.DrawRect(box, paint);
    }

    private void Set(WritingLines lines)
    {
        const float height = 26, gap = 18;
        float width = (flow.Width - gap) / 2;
        foreach (string[] pair in lines.Labels.Chunk(2))
        {
            flow.Place(height, (canvas, top) =>
            {
                using var rule = new SKPaint { Color = Theme.Muted, StrokeWidth = 0.6f };
                for (int i = 0; i < pair.Length; i++)
                {
                    float left = flow.Left + i * (width + gap);
                    TextLines.Break(pair[i], TextStyle.Note, width).Draw(canvas, left, top + 6);
                    canvas.DrawLine(left + 62, top + height - 10, left + width, top + height - 10, rule);
                }
            });
        }
        flow.Gap(6);
    }

    private void Set(FindingEntry entry)
    {
        float column = flow.Width - PictureWidth - 14;
        var heading = TextLines.Break(entry.Heading, TextStyle.SubHeading, column);
        var text = TextLines.Break(entry.Text, TextStyle.Body, column);
        (TextLines Name, TextLines Value)[] facts = [.. entry.Facts.Select(fact => (TextLines.Break(fact.Name, TextStyle.Name, 92), TextLines.Break(fact.Value, TextStyle.Body, column - 96)))];
        var size = PictureSetter.Size(entry.Picture, PictureWidth, flow.PageHeight);
        float words = heading.Height + 2 + text.Height + 4 + facts.Sum(fact => Math.Max(fact.Name.Height, fact.Value.Height)), height = Math.Max(words, size.Height + 4) + 6;
        flow.Place(Math.Min(height, flow.PageHeight), (canvas, top) =>
        {
            PictureSetter.Draw(canvas, entry.Picture, SKRect.Create(flow.Left + column + 14, top + 2, size.Width, size.Height));
            heading.Draw(canvas, flow.Left, top);
            text.Draw(canvas, flow.Left, top + heading.Height + 2);
            float y = top + heading.Height + 2 + text.Height + 4;
            foreach (var (name, value) in facts)
            {
                name.Draw(canvas, flow.Left, y);
                value.Draw(canvas, flow.Left + 96, y);
                y += Math.Max(name.Height, value.Height);
            }
        });
        flow.Gap(8);
    }
}
