using System.Globalization;
using System.Xml;
using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

internal enum StepKind
{
    Begin,
    Segment,
    CounterClockwise,
    Clockwise,
}

/// <summary>A step of a polygon or polyline, in file units; the centre matters for curves only.</summary>
internal readonly record struct PolyStep(StepKind Kind, Point To, Point Center);

/// <summary>One element of the document with what stands in it: small ones only are held whole (a pad, a feature, a package), never a layer.</summary>
internal sealed class XmlPart
{
    private const NumberStyles Numeric = NumberStyles.Float;

    private readonly List<(string Name, string Value)> attributes = [];

    public required string Name { get; init; }

    public required int Line { get; init; }

    public required int Column { get; init; }

    public List<XmlPart> Children { get; } = [];

    /// <summary>Of a polygon, polyline or cut-out; empty else.</summary>
    public List<PolyStep> Steps { get; } = [];

    /// <summary>The element at which the reader stands; the reader stands at its end (or on it, if it is empty) afterwards.</summary>
    /// <param name="xml">At a start tag.</param>
    /// <param name="budget">Elements that may still be read into one part.</param>
    /// <param name="depth">Of this element.</param>
    /// <exception cref="UnreadableFileException">A number is none, or there is too much.</exception>
    public static XmlPart Read(XmlReader xml, ref int budget, int depth = 0)
    {
        var (line, column) = Place(xml);
        if (depth > 40) throw new UnreadableFileException(line, column, "elements may be nested 40 deep at most");
        if (--budget < 0) throw new UnreadableFileException(line, column, "one feature may hold ten million elements at most");
        var part = new XmlPart { Name = xml.LocalName, Line = line, Column = column };
        while (xml.MoveToNextAttribute()) part.attributes.Add((xml.LocalName, xml.Value));
        xml.MoveToElement();
        if (xml.IsEmptyElement) return part;
        while (xml.Read() && xml.NodeType != XmlNodeType.EndElement)
        {
            if (xml.NodeType != XmlNodeType.Element) continue;
            if (StepOf(xml) is { } step)
            {
                if (--budget < 0) throw new UnreadableFileException(line, column, "one feature may hold ten million elements at most");
                part.Steps.Add(step);
                if (!xml.IsEmptyElement) SkipToEnd(xml);
            }
            else part.Children.Add(Read(xml, ref budget, depth + 1));
        }
        return part;
    }

    public XmlPart? Child(string name) => Children.Find(c => c.Name == name);

    public IEnumerable<XmlPart> Named(string name) => Children.Where(c => c.Name == name);

    public string? Text(string attribute)
    {
        foreach (var (name, value) in attributes)
        {
            if (name == attribute) return value;
        }
        return null;
    }

    public bool Flag(string attribute) => IsTrue(Text(attribute));

    /// <summary>A number; null where the attribute is absent.</summary>
    /// <exception cref="UnreadableFileException">It is no finite number.</exception>
    public double? Number(string attribute) => Text(attribute) is { } text ? Parse(text, attribute, Line, Column) : null;

    /// <exception cref="UnreadableFileException">It is absent, or no finite number.</exception>
    public double Needed(string attribute) => Number(attribute) ?? throw Unreadable($"must have the attribute '{attribute}'");

    /// <summary>A length in mm.</summary>
    public double Length(string attribute, double unit) => Bounded(Needed(attribute) * unit, attribute);

    /// <inheritdoc cref="Length"/>
    public double LengthOr(string attribute, double unit, double otherwise) => Number(attribute) is { } value ? Bounded(value * unit, attribute) : otherwise;

    public Point Place(double unit, string x = "x", string y = "y") => new(Lengths.Round(Length(x, unit)), Lengths.Round(Length(y, unit)));

    public UnreadableFileException Unreadable(string what) => new(Line, Column, $"<{Name}> {what}");

    public static (int Line, int Column) Place(XmlReader xml) => xml is IXmlLineInfo info ? (info.LineNumber, info.LinePosition) : (1, 1);

    public static bool IsTrue(string? text) => text is "true" or "TRUE" or "True" or "1";

    private static void SkipToEnd(XmlReader xml)
    {
        int depth = xml.Depth;
        while (xml.Read() && !(xml.NodeType == XmlNodeType.EndElement && xml.Depth == depth))
        {
        }
    }

    private double Bounded(double millimeters, string attribute) => Math.Abs(millimeters) < Lengths.Farthest ? millimeters : throw Unreadable($"'{attribute}' must lie within 9 m");

    private static double Parse(string text, string attribute, int line, int column) =>
        double.TryParse(text, Numeric, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value) ? value
            : throw new UnreadableFileException(line, column, $"the attribute '{attribute}' must be a number, and '{(text.Length > 40 ? text[..40] : text)}' was found");

    /// <summary>Steps are by far the most frequent elements, so they get no part of their own.</summary>
    private static PolyStep? StepOf(XmlReader xml)
    {
        string name = xml.LocalName;
        if (!name.StartsWith("Poly", StringComparison.Ordinal)) return null;
        var (kind, isCurve) = name switch
        {
            "PolyBegin" => (StepKind.Begin, false),
            "PolyStepSegment" => (StepKind.Segment, false),
            "PolyStepCurve" => (StepKind.CounterClockwise, true),
            _ => ((StepKind?)null, false),
        };
        if (kind is not { } known) return null;
        var (line, column) = Place(xml);
        double Value(string attribute) => xml.GetAttribute(attribute) is { } text ? Parse(text, attribute, line, column) : throw new UnreadableFileException(line, column, $"<{name}> must have the attribute '{attribute}'");
        var to = new Point(Value("x"), Value("y"));
        if (!isCurve) return new PolyStep(known, to, default);
        return new PolyStep(IsTrue(xml.GetAttribute("clockwise")) ? StepKind.Clockwise : StepKind.CounterClockwise, to, new Point(Value("centerX"), Value("centerY")));
    }
}
