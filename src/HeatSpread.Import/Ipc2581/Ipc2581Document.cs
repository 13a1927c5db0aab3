using HeatSpread.Boards;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Ipc2581;

/// <param name="Name">As other elements refer to it.</param>
/// <param name="Function"><c>layerFunction</c>.</param>
/// <param name="Side"><c>TOP</c>, <c>BOTTOM</c>, <c>INTERNAL</c>…</param>
/// <param name="IsNegative">What is drawn is what is not there.</param>
/// <param name="SpanFrom">Of a drill layer: one end.</param>
/// <param name="SpanTo">The other end.</param>
internal sealed record LayerInfo(string Name, string Function, string Side, bool IsNegative, string? SpanFrom, string? SpanTo)
{
    public bool IsCopper => Function is "CONDUCTOR" or "SIGNAL" or "PLANE" or "MIXED" or "CONDFILM" or "CONDFOIL";

    public bool IsMask => Function is "SOLDERMASK";

    public bool IsDielectric => Function.StartsWith("DIEL", StringComparison.Ordinal) || Function is "COVERLAY" or "ADHESIVE" or "STIFFENER" or "RESISTIVE" or "CAPACITIVE";

    /// <summary>Whether its features are holes and routes.</summary>
    public bool IsDrilling => Function is "DRILL" or "ROUT";
}

/// <param name="Layer">Name of a layer or of another group.</param>
/// <param name="ThicknessMm">0 where the file says nothing.</param>
/// <param name="Sequence">Orders the rows of a group.</param>
/// <param name="Specs">Names of the specifications it refers to.</param>
internal sealed record StackEntry(string Layer, double ThicknessMm, double Sequence, IReadOnlyList<string> Specs);

/// <param name="Material">What its texts say, joined.</param>
/// <param name="SiemensPerMeter">Electrical conductivity, where given.</param>
/// <param name="WattsPerMeterKelvin">Thermal conductivity, where given.</param>
internal sealed record MaterialSpec(string Material, double? SiemensPerMeter, double? WattsPerMeterKelvin);

/// <param name="At">mm.</param>
/// <param name="Diameter">mm.</param>
/// <param name="IsPlated">Whether the wall is.</param>
/// <param name="Net">Null where the file says nothing.</param>
/// <param name="Layer">The drill layer it stands on, for the span.</param>
internal sealed record IpcHole(Point At, double Diameter, bool IsPlated, string? Net, string Layer);

/// <param name="Shape">mm.</param>
/// <param name="IsPlated">Whether the wall is.</param>
/// <param name="Net">Null where the file says nothing.</param>
/// <param name="Layer">The layer it stands on, for the span.</param>
internal sealed record IpcSlot(Shape Shape, bool IsPlated, string? Net, string Layer);

/// <param name="Id">Reference designator.</param>
/// <param name="Package">Name of its package.</param>
/// <param name="Layer">On which it sits.</param>
/// <param name="At">mm.</param>
/// <param name="Xform">Turn and mirror; null where absent.</param>
internal sealed record IpcComponent(string Id, string Package, string Layer, Point At, XmlPart? Xform);

/// <param name="Body">About the package's origin, mm; empty where unknown.</param>
/// <param name="Pins">Names and places about the origin, mm.</param>
internal sealed record IpcPackage(IReadOnlyList<Point> Body, IReadOnlyList<(string Name, Point At)> Pins);

/// <param name="Step">Name.</param>
/// <param name="CountX">At least 1.</param>
/// <param name="CountY">At least 1.</param>
internal sealed record StepRepeat(string Step, int CountX, int CountY);

/// <summary>One step: a board, or a panel of boards.</summary>
internal sealed class IpcStep(string name)
{
    public string Name => name;

    public List<IReadOnlyList<Point>> ProfileOuter { get; } = [];

    public List<IReadOnlyList<Point>> ProfileCutouts { get; } = [];

    /// <summary>Pads of each padstack by layer; the shape is as at the padstack's origin.</summary>
    public Dictionary<string, Dictionary<string, XmlPart>> Padstacks { get; } = new(StringComparer.Ordinal);

    /// <summary>Each padstack at its place, with the pads and holes it lists there.</summary>
    public List<XmlPart> PlacedPadstacks { get; } = [];

    public Dictionary<string, IpcPackage> Packages { get; } = new(StringComparer.Ordinal);

    public List<IpcComponent> Components { get; } = [];

    public Dictionary<(string Part, string Pin), string> NetOfPin { get; } = [];

    /// <summary>Places of nets on layers, from the physical nets.</summary>
    public List<(string Net, string Layer, Point At)> NetPoints { get; } = [];

    public List<StepRepeat> Repeats { get; } = [];

    public Dictionary<string, List<GraphicObject>> Objects { get; } = new(StringComparer.Ordinal);

    public List<IpcHole> Holes { get; } = [];

    public List<IpcSlot> Slots { get; } = [];
}

/// <summary>What a document says of one board.</summary>
internal sealed record Ipc2581Document
{
    public required string Revision { get; init; }

    public required IReadOnlyList<LayerInfo> Layers { get; init; }

    /// <summary>From the top; empty where there is no stack-up.</summary>
    public required IReadOnlyList<StackEntry> Stack { get; init; }

    /// <summary>mm; null where not said.</summary>
    public double? OverallThicknessMm { get; init; }

    public required IReadOnlyDictionary<string, MaterialSpec> Specs { get; init; }

    /// <summary>The board that was taken.</summary>
    public required IpcStep Step { get; init; }

    /// <summary>Parts that the bill of materials leaves unpopulated.</summary>
    public required IReadOnlySet<string> Unpopulated { get; init; }
}
