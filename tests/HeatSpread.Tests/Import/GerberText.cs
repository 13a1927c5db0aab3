using HeatSpread.Boards;
using HeatSpread.Import;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;
using Xunit;

namespace HeatSpread.Tests.Import;

/// <summary>Reads Gerber text written in a test.</summary>
internal static class GerberText
{
    public const string Millimetres = "%FSLAX46Y46*%%MOMM*%";

    public static GerberImage Read(string text, ImportLimits? limits = null) => Read(text, out _, limits);

    public static GerberImage Read(string text, out IReadOnlyList<string> warnings, ImportLimits? limits = null)
    {
        var notes = new FileNotes("test.gbr");
        var image = GerberReader.Read(text, notes, limits ?? new ImportLimits(), CancellationToken.None);
        var all = new ImportNotes();
        notes.WriteTo(all);
        warnings = all.Warnings;
        return image;
    }

    /// <summary>Painted area in mm² of a body after the millimetre header, with M02 added.</summary>
    public static double Area(string body) => Area(Read(Millimetres + body + "M02*"));

    public static double Area(GerberImage image) => PaintedArea.Of(Documents(image), "L", 0.0015);

    public static Box Bounds(GerberImage image) => image.Objects.Aggregate(Box.Empty, (box, o) => box.Include(HeatSpread.Import.Connectivity.SpanCutter.Bounds(o.Shape)));

    public static void AssertArea(double expected, string body) => Assert.InRange(Area(body), expected * 0.9985, expected * 1.0015);

    private static IEnumerable<CopperDocument> Documents(GerberImage image) => image.Objects
        .Where(o => o.Shape is StrokeShape { Width: > 0 } or AreaShape { Polygons.Count: > 0 })
        .Select(o => o.Shape is StrokeShape stroke
            ? new CopperDocument { Layer = "L", Clear = !o.IsDark, Track = new TrackDocument(stroke.Path, stroke.Width) }
            : new CopperDocument { Layer = "L", Clear = !o.IsDark, Area = new Region(((AreaShape)o.Shape).Polygons) });
}
