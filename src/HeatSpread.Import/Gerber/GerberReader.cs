using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Gerber;

/// <summary>
/// Reads a Gerber file (RS-274X, X2, X3; Gerber Layer Format Specification, Ucamco) and the older forms still met. This part obeys the words outside
/// percent signs: G, D and M codes and coordinates.
/// </summary>
internal sealed partial class GerberReader
{
    private readonly FileNotes notes;
    private readonly ImportLimits limits;
    private readonly ObjectSink sink;
    private readonly AttributeDictionary attributes = new();
    private readonly Dictionary<int, Aperture> apertures = [];
    private readonly Dictionary<string, ApertureMacro> macros = [];

    private GerberCommand command = new("", [], false, 1, 1);
    private CoordinateFormat? format;
    private double? unit;
    private Point current;
    private int aperture = -1;
    private int lastOperation;
    private int interpolation = 1;
    private QuadrantMode quadrant = QuadrantMode.Unstated;
    private List<Point>? contour;
    private bool inRegion;
    private bool isDark = true;
    private bool ended;
    private int? physicalOrder;
    private PlaneTransform apertureTransform = PlaneTransform.Identity;

    private GerberReader(FileNotes notes, ImportLimits limits)
    {
        this.notes = notes;
        this.limits = limits;
        sink = new ObjectSink(limits);
    }

    /// <summary>Millimetres in a file unit. Files older than the MO command are in inch.</summary>
    private double Unit
    {
        get
        {
            if (unit is { } known) return known;
            notes.Warn(0, "says no unit (MO, G70, G71); inch was taken");
            unit = Lengths.MillimetersPerInch;
            return unit.Value;
        }
    }

    private CoordinateFormat Format
    {
        get
        {
            if (format is { } known) return known;
            notes.Warn(0, "says no coordinate format (FS); two digits before and four after the point, leading zeros omitted, were taken");
            return format = CoordinateFormat.Default;
        }
    }

    /// <exception cref="UnreadableFileException">The file cannot be read on, or it exceeds the limits.</exception>
    public static GerberImage Read(string text, FileNotes notes, ImportLimits limits, CancellationToken cancellationToken)
    {
        var reader = new GerberReader(notes, limits);
        foreach (var command in GerberLexer.Read(text))
        {
            cancellationToken.ThrowIfCancellationRequested();
            reader.Obey(command);
            if (reader.ended) break;
        }
        return reader.Finish();
    }

    private void Obey(GerberCommand next)
    {
        command = next;
        sink.Line = next.Line;
        if (next.IsExtended) ObeyExtended();
        else ObeyWords(next.Text);
    }

    private GerberImage Finish()
    {
        if (!ended) notes.Warn(0, "does not end with M02: it may have been cut off");
        if (inRegion) EndRegion();
        if (sink.Depth > 0) notes.Warn(0, "has a step and repeat or a block aperture that is never closed; its objects were painted once");
        var objects = sink.Finish();
        if (ImageTransform() is { } transform) objects = [.. objects.Select(o => o with { Shape = o.Shape.Transform(transform) })];
        bool negativePolarity = attributes.File.TryGetValue(".FilePolarity", out var polarity) && polarity.Count > 0 && polarity[0] == "Negative";
        return new GerberImage
        {
            Objects = objects,
            FileAttributes = attributes.File,
            PhysicalOrder = physicalOrder,
            IsNegative = isImageNegative || negativePolarity,
        };
    }

    private UnreadableFileException Unreadable(string detail) => new(command.Line, command.Column, detail);

    private void Warn(string text) => notes.Warn(command.Line, text);

    private void ObeyWords(string text)
    {
        if (IsComment(text)) return;
        double? x = null, y = null;
        double i = 0, j = 0;
        int? operation = null;
        for (int at = 0; at < text.Length;)
        {
            char letter = char.ToUpperInvariant(text[at++]);
            int start = at;
            while (at < text.Length && (char.IsAsciiDigit(text[at]) || text[at] is '+' or '-' or '.')) at++;
            var number = text.AsSpan(start, at - start);
            switch (letter)
            {
                case 'X': x = Coordinate(Format.ReadX(number), letter, number); break;
                case 'Y': y = Coordinate(Format.ReadY(number), letter, number); break;
                case 'I': i = Coordinate(Format.ReadX(number), letter, number); break;
                case 'J': j = Coordinate(Format.ReadY(number), letter, number); break;
                case 'G': General(Code(number, letter)); break;
                case 'D': operation = DCode(Code(number, letter)); break;
                case 'M': if (Code(number, letter) is 0 or 2) ended = true; break;
                case 'N' or ' ': break;
                default: Warn($"has the command '{Short(text)}', which is unknown and was passed over"); return;
            }
        }
        if (operation is null && (x is not null || y is not null)) operation = RepeatedOperation();
        if (operation is { } code) Operate(code, x, y, new Point(i, j));
    }

    /// <summary>Comments may carry attributes, and one CAD program's layer order.</summary>
    private bool IsComment(string text)
    {
        if (!text.StartsWith("G04", StringComparison.Ordinal) && !text.StartsWith("G4 ", StringComparison.Ordinal)) return false;
        string comment = text[3..].Trim();
        if (comment.StartsWith("#@!", StringComparison.Ordinal)) attributes.Obey(comment[3..].Trim());
        const string Order = "Layer_Physical_Order=";
        if (comment.StartsWith(Order, StringComparison.Ordinal) && int.TryParse(comment.AsSpan(Order.Length), NumberStyles.None, CultureInfo.InvariantCulture, out int order)) physicalOrder = order;
        return true;
    }

    private double Coordinate(double? value, char letter, ReadOnlySpan<char> word) =>
        value is { } number && Math.Abs(number * Unit) < Lengths.Farthest ? Lengths.Round(number * Unit) : throw Unreadable($"'{letter}{word}' must be a coordinate within 9 m of the origin");

    private int Code(ReadOnlySpan<char> number, char letter) =>
        int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out int code) ? code : throw Unreadable($"'{letter}' must be followed by a number, and '{number}' was found");

    private void General(int code)
    {
        switch (code)
        {
            case 0 or 1: interpolation = 1; break;
            case 2 or 3: interpolation = code; break;
            case 36: BeginRegion(); break;
            case 37: EndRegion(); break;
            case 54 or 55: break; // said before a D code by older programs
            case 70: unit = Lengths.MillimetersPerInch; break;
            case 71: unit = 1; break;
            case 74: quadrant = QuadrantMode.Single; break;
            case 75: quadrant = QuadrantMode.Multi; break;
            case 90 or 91: format = Format with { IsIncremental = code == 91 }; break;
            default: Warn($"has G{code:00}, which is unknown and was passed over"); break;
        }
    }

    private int? DCode(int code)
    {
        if (code is >= 1 and <= 3) return code;
        if (code >= 10) aperture = code;
        else Warn($"has D{code:00}, which is unknown and was passed over");
        return null;
    }

    private int? RepeatedOperation()
    {
        if (lastOperation == 0) throw Unreadable("a coordinate must come with D01, D02 or D03, and no such code came before it either");
        Warn("leaves out D codes; the last one was repeated");
        return lastOperation;
    }

    private void Operate(int code, double? x, double? y, Point offset)
    {
        lastOperation = code;
        var target = format is { IsIncremental: true }
            ? new Point(Lengths.Round(current.X + (x ?? 0)), Lengths.Round(current.Y + (y ?? 0)))
            : new Point(x ?? current.X, y ?? current.Y);
        if (code == 1) Draw(target, offset);
        else if (code == 3) Flash(target);
        else if (inRegion) MoveInRegion(target);
        current = target;
    }

    private void Draw(Point target, Point offset)
    {
        var path = new List<Point> { current };
        AppendTo(path, target, offset);
        if (inRegion)
        {
            contour ??= [current];
            contour.AddRange(path.Skip(1));
            return;
        }
        var tool = SelectedAperture();
        if (tool.RoundDiameter is { } diameter) sink.AddStroke(path, diameter * apertureTransform.Scale, isDark, attributes.For(tool.Function));
        else if (tool.Shape is { } shape) DrawSwept(shape.Transform(apertureTransform), path, tool.Function);
        else Warn("draws with a block aperture, which only may be flashed; the draw was left out");
    }

    private void AppendTo(List<Point> path, Point target, Point offset)
    {
        if (interpolation == 1)
        {
            path.Add(target);
            return;
        }
        if (ArcCenter.Find(current, target, offset, interpolation == 2, quadrant) is { } arc) Arcs.Append(path, current, target, arc.Center, arc.Sweep);
        else
        {
            if (current != target) Warn("has an arc whose centre does not fit its ends; a straight line was drawn");
            path.Add(target);
        }
    }

    /// <summary>A draw with a rectangle or another aperture that is not round paints the hull of its first and last place, piece by piece.</summary>
    private void DrawSwept(Shape shape, List<Point> path, string? function)
    {
        if (shape is not AreaShape { Polygons: [{ Outer.Count: 4, Holes.Count: 0 }] }) Warn("draws with an aperture that is neither round nor a rectangle; its hull was swept");
        var pieces = path.Zip(path.Skip(1), (a, b) => Aperture.Sweep(shape, a, b)).Where(hull => hull.Count >= 3).Select(hull => new Polygon(hull));
        sink.Add(new GraphicObject(ObjectKind.Draw, new AreaShape([.. pieces], path), isDark, attributes.For(function)));
    }

    private void Flash(Point place)
    {
        if (inRegion)
        {
            Warn("flashes inside a region, which is not allowed; the flash was left out");
            return;
        }
        var tool = SelectedAperture();
        var transform = apertureTransform.At(place);
        if (tool.Block is { } block) sink.AddCopy(block, transform, toggle: !isDark);
        else sink.Add(new GraphicObject(ObjectKind.Flash, tool.Shape!.Transform(transform), isDark, attributes.For(tool.Function)));
    }

    private Aperture SelectedAperture() => apertures.TryGetValue(aperture, out var selected)
        ? selected
        : throw Unreadable(aperture < 0 ? "an aperture must be selected before it is used" : $"aperture D{aperture} must be defined before it is used");

    private void BeginRegion()
    {
        inRegion = true;
        contour = null;
    }

    private void MoveInRegion(Point target)
    {
        EndContour();
        contour = [target];
    }

    private void EndRegion()
    {
        EndContour();
        inRegion = false;
    }

    private void EndContour()
    {
        if (contour is not { Count: > 2 } closed)
        {
            contour = null;
            return;
        }
        contour = null;
        var polygons = Contours.Fill(closed, limits.MaxCrossings, out bool repaired) ?? throw Unreadable($"a contour may cross itself {limits.MaxCrossings} times at most, and the one that ends here does so more often");
        if (repaired) Warn("has a contour that touches or crosses itself; it was filled by the non-zero winding rule");
        foreach (var polygon in polygons) sink.Add(new GraphicObject(ObjectKind.Region, new AreaShape([polygon]), isDark, attributes.For(attributes.ApertureFunction)));
    }

    private static string Short(string text) => text.Length <= 40 ? text : text[..40] + "…";
}
