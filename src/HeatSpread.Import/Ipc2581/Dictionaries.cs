using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

internal enum LineEnd
{
    Round,
    Square,
    Flat,
}

/// <param name="Width">mm.</param>
/// <param name="End">Of the two ends; joints are round.</param>
internal readonly record struct LineStyle(double Width, LineEnd End);

/// <summary>Units of length by their IPC-2581 names.</summary>
internal static class Units
{
    /// <summary>Millimetres in the unit; null where the name is unknown.</summary>
    public static double? Millimeters(string? name) => name switch
    {
        "MILLIMETER" => 1,
        "INCH" => Lengths.MillimetersPerInch,
        "MICRON" => 0.001,
        "MIL" => Lengths.MillimetersPerInch / 1000,
        _ => null,
    };
}

/// <summary>The dictionaries of the content section, each in its own unit.</summary>
internal sealed class Dictionaries
{
    private readonly Dictionary<string, (XmlPart Part, double Unit)> standard = new(StringComparer.Ordinal);
    private readonly Dictionary<string, (XmlPart Part, double Unit)> user = new(StringComparer.Ordinal);
    private readonly Dictionary<string, IReadOnlyList<PaintedShape>> built = new(StringComparer.Ordinal);

    public Dictionary<string, LineStyle> Lines { get; } = new(StringComparer.Ordinal);

    public Dictionary<string, string> Fills { get; } = new(StringComparer.Ordinal);

    public void AddStandard(string id, XmlPart entry, double unit) => standard[id] = (entry, unit);

    public void AddUser(string id, XmlPart entry, double unit) => user[id] = (entry, unit);

    public (XmlPart Part, double Unit)? Find(string id, bool isUser)
    {
        var (first, second) = isUser ? (user, standard) : (standard, user);
        return first.TryGetValue(id, out var entry) || second.TryGetValue(id, out entry) ? entry : null;
    }

    /// <summary>An entry's shapes, built once.</summary>
    public IReadOnlyList<PaintedShape> GetOrBuild(string id, bool isUser, Func<IReadOnlyList<PaintedShape>> build)
    {
        string key = (isUser ? "u" : "s") + id;
        if (!built.TryGetValue(key, out var shapes)) built[key] = shapes = build();
        return shapes;
    }

    public static LineStyle Style(XmlPart lineDesc, double unit) => new(Math.Max(0, lineDesc.LengthOr("lineWidth", unit, 0)), lineDesc.Text("lineEnd") switch
    {
        "SQUARE" => LineEnd.Square,
        "NONE" or "FLAT" => LineEnd.Flat,
        _ => LineEnd.Round,
    });
}
