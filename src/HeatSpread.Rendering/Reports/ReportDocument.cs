using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>A report as what it says, before it is set on paper or on a page: every writer writes the same words, numbers and pictures.</summary>
internal sealed record ReportDocument
{
    public required string Title { get; init; }

    /// <summary>What it is about: name and revision.</summary>
    public required string Subject { get; init; }

    /// <summary>When the solution was made; never the time of writing.</summary>
    public required DateTimeOffset Date { get; init; }

    /// <summary>Digest that stands on every page.</summary>
    public required string Reference { get; init; }

    public required IReadOnlyList<ReportSection> Sections { get; init; }
}

/// <param name="Heading">Without a number: writers count.</param>
/// <param name="Blocks">In reading order.</param>
internal sealed record ReportSection(string Heading, IReadOnlyList<ReportBlock> Blocks);

internal abstract record ReportBlock;

/// <summary>A paragraph.</summary>
internal sealed record Paragraph(string Text) : ReportBlock
{
    /// <summary>Smaller and paler: notes.</summary>
    public bool IsNote { get; init; }

    /// <summary>Stands on the page of what follows it.</summary>
    public bool KeepsWithNext { get; init; }
}

/// <summary>A heading inside a section.</summary>
internal sealed record SubHeading(string Text) : ReportBlock;

internal sealed record BulletList(IReadOnlyList<string> Items) : ReportBlock;

/// <summary>Names with their values.</summary>
internal sealed record FactList(IReadOnlyList<Fact> Facts) : ReportBlock;

internal sealed record Fact(string Name, string Value);

/// <summary>The judgement, with its reasons; told by words and frame, not by colour alone.</summary>
internal sealed record VerdictBox(bool Pass, string Words, IReadOnlyList<string> Reasons) : ReportBlock;

/// <summary>Lines to write on by hand.</summary>
internal sealed record WritingLines(IReadOnlyList<string> Labels) : ReportBlock;

/// <param name="Caption">What the table shows.</param>
/// <param name="Columns">At least one.</param>
/// <param name="Rows">Each with one cell a column.</param>
internal sealed record ReportTable(string Caption, IReadOnlyList<TableColumn> Columns, IReadOnlyList<TableRow> Rows) : ReportBlock
{
    /// <summary>Stands below it; null: none.</summary>
    public string? Note { get; init; }
}

/// <param name="Heading">With its unit.</param>
/// <param name="IsNumber">Set to the right.</param>
internal sealed record TableColumn(string Heading, bool IsNumber = false);

internal sealed record TableRow(IReadOnlyList<string> Cells)
{
    /// <summary>Stands out: a limit is exceeded, or it is a sum.</summary>
    public bool IsStrong { get; init; }
}

/// <param name="Picture">What is shown.</param>
/// <param name="Caption">Below it.</param>
/// <param name="Share">Of the width of the text, above 0 to 1.</param>
internal sealed record Figure(ReportPicture Picture, string Caption, float Share = 1) : ReportBlock;

/// <summary>Pictures of one width side by side, as many in a row as <paramref name="Columns"/> says.</summary>
internal sealed record FigureGrid(IReadOnlyList<Figure> Figures, int Columns) : ReportBlock;

/// <summary>A finding: words beside a picture of its place.</summary>
internal sealed record FindingEntry(string Heading, string Text, IReadOnlyList<Fact> Facts, ReportPicture Picture) : ReportBlock;

/// <param name="Alt">What it shows, for those who cannot see it.</param>
/// <param name="Width">In its own unit; only the shape counts on paper.</param>
/// <param name="Height">As the width.</param>
internal abstract record ReportPicture(string Alt, float Width, float Height);

/// <param name="Png">Its file.</param>
/// <param name="Alt">What it shows.</param>
/// <param name="Width">Pixels.</param>
/// <param name="Height">Pixels.</param>
internal sealed record PixelPicture(byte[] Png, string Alt, float Width, float Height) : ReportPicture(Alt, Width, Height)
{
    public static PixelPicture Of(byte[] png, string alt)
    {
        using var data = SKData.CreateCopy(png);
        using var codec = SKCodec.Create(data) ?? throw new ArgumentException("the picture cannot be read", nameof(png));
        return new(png, alt, codec.Info.Width, codec.Info.Height);
    }
}

/// <summary>A drawing of lines and words: sharp on paper at any size, and its words can be searched there.</summary>
/// <param name="Draw">Draws it within its width and height.</param>
/// <param name="Alt">What it shows.</param>
/// <param name="Width">Points, as it is meant to be seen.</param>
/// <param name="Height">Points.</param>
internal sealed record LinePicture(Action<SKCanvas> Draw, string Alt, float Width, float Height) : ReportPicture(Alt, Width, Height)
{
    private const float PixelsPerPoint = 3;

    public byte[] Png() => Rendering.Png.Draw((int)MathF.Ceiling(Width * PixelsPerPoint), (int)MathF.Ceiling(Height * PixelsPerPoint), Theme.Paper, canvas =>
    {
        canvas.Scale(PixelsPerPoint);
        Draw(canvas);
    });
}
