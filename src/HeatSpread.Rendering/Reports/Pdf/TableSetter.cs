using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Sets a table: columns as wide as they need, rows never cut, the head again on every page.</summary>
internal sealed class TableSetter
{
    private const float PadX = 4.6f, PadY = 1.9f;

    /// <summary>Widest that a column is wished for, points: more is wrapped.</summary>
    private const float WidestWish = 280;

    /// <summary>Widest word that keeps a column from being narrower.</summary>
    private const float WidestWord = 78;

    private const float NoteGap = 4;

    /// <summary>Of a page's height: a lower table is not broken.</summary>
    private const float MostTogether = 0.3f;

    private readonly PageFlow _flow;
    private readonly ReportTable _table;
    private readonly float[] _widths;

    private TableSetter(PageFlow flow, ReportTable table)
    {
        (_flow, _table) = (flow, table);
        _widths = Widths(table, flow.Width);
    }

    public static void Set(PageFlow flow, ReportTable table)
    {
        var setter = new TableSetter(flow, table);
        setter.AwaitHead(table.Caption);
        setter.SetRows();
        flow.Gap(9);
    }

    private void SetRows()
    {
        var rows = _table.Rows.Select(Lines).ToList();
        var note = _table.Note is null ? null : TextLines.Break(_table.Note, TextStyle.Note, _flow.Width);
        float below = note is null ? 0 : note.Height + NoteGap, all = rows.Sum(Height) + below;
        for (int i = 0; i < rows.Count; i++)
        {
            float height = Height(rows[i]);
            // the last row but one takes the last with it, and that the note: neither stands alone on a page
            float needed = i == 0 && all < MostTogether * _flow.PageHeight ? all : height + (i == rows.Count - 2 ? Height(rows[^1]) + below : i == rows.Count - 1 ? below : 0);
            if (!_flow.HasRoom(needed))
            {
                _flow.NewPage();
                if (i > 0) AwaitHead($"{_table.Caption}, continued");
            }
            var (row, strong) = (rows[i], _table.Rows[i].IsStrong);
            _flow.Place(height, (canvas, top) => DrawRow(canvas, row, top, height, strong));
        }
        if (rows.Count == 0) _flow.Place(0, static (_, _) => { });
        if (note is not null) _flow.Place(below, (canvas, top) => note.Draw(canvas, _flow.Left, top + NoteGap));
    }

    private void AwaitHead(string caption)
    {
        var title = TextLines.Break(caption, TextStyle.SubHeading, _flow.Width);
        _flow.Await(title.Height + 3, (canvas, top) => title.Draw(canvas, _flow.Left, top));
        TextLines[] head = [.. _table.Columns.Select((column, i) => TextLines.Break(column.Heading, TextStyle.Head, _widths[i] - 2 * PadX))];
        float height = Height(head);
        _flow.Await(height, (canvas, top) => DrawHead(canvas, head, top, height));
    }

    private TextLines[] Lines(TableRow row) => [.. row.Cells.Select((cell, i) => TextLines.Break(cell, row.IsStrong ? TextStyle.StrongCell : TextStyle.Cell, _widths[i] - 2 * PadX))];

    private static float Height(TextLines[] cells) => cells.Max(cell => cell.Height) + 2 * PadY;

    private void DrawHead(SKCanvas canvas, TextLines[] head, float top, float height)
    {
        using var band = new SKPaint { Color = ReportLook.Band };
        canvas.DrawRect(SKRect.Create(_flow.Left, top, _widths.Sum(), height), band);
        DrawCells(canvas, head, top);
        DrawRule(canvas, top + height, 0.9f, Theme.Edge);
    }

    private void DrawRow(SKCanvas canvas, TextLines[] cells, float top, float height, bool isStrong)
    {
        DrawCells(canvas, cells, top);
        DrawRule(canvas, top + height, isStrong ? 0.7f : 0.4f, isStrong ? Theme.Muted : ReportLook.Rule);
    }

    private void DrawCells(SKCanvas canvas, TextLines[] cells, float top)
    {
        float left = _flow.Left;
        for (int i = 0; i < cells.Length; i++)
        {
            if (_table.Columns[i].IsNumber) cells[i].Draw(canvas, left + _widths[i] - PadX, top + PadY, SKTextAlign.Right);
            else cells[i].Draw(canvas, left + PadX, top + PadY);
            left += _widths[i];
        }
    }

    private void DrawRule(SKCanvas canvas, float y, float thickness, SKColor colour)
    {
        using var rule = new SKPaint { Color = colour, StrokeWidth = thickness };
        canvas.DrawLine(_flow.Left, y, _flow.Left + _widths.Sum(), y, rule);
    }

    /// <summary>What the words need, and what is left shared by what the texts wish for. Numbers are never broken, if it can be helped.</summary>
    private static float[] Widths(ReportTable table, float available)
    {
        int count = table.Columns.Count;
        float[] least = new float[count], wish = new float[count];
        for (int i = 0; i < count; i++)
        {
            var head = TextLines.Widths(table.Columns[i].Heading, TextStyle.Head);
            (least[i], wish[i]) = (head.Word, Math.Max(head.Word, Math.Min(head.All, 64)));
            foreach (var row in table.Rows)
            {
                var (word, all) = TextLines.Widths(row.Cells[i], row.IsStrong ? TextStyle.StrongCell : TextStyle.Cell);
                least[i] = Math.Max(least[i], Math.Min(table.Columns[i].IsNumber ? all : word, WidestWord));
                wish[i] = Math.Max(wish[i], Math.Min(all, WidestWish));
            }
            least[i] += 2 * PadX + 0.5f;
            wish[i] = Math.Max(least[i], wish[i] + 2 * PadX + 0.5f);
        }
        return Shared(least, wish, available);
    }

    private static float[] Shared(float[] least, float[] wish, float available)
    {
        float needed = least.Sum(), wished = wish.Sum();
        if (needed >= available) return [.. least.Select(width => width * available / needed)];
        if (wished <= available)
        {
            // a narrow table stays narrow: numbers far from their names are misread
            float stretch = Math.Min(1.35f, available / wished);
            return [.. wish.Select(width => width * stretch)];
        }
        float share = (available - needed) / (wished - needed);
        return [.. least.Zip(wish, (low, high) => low + (high - low) * share)];
    }
}
