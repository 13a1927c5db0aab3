using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Gerber;

/// <summary>What a Gerber file paints, in order, in mm, with what its attributes say.</summary>
internal sealed record GerberImage
{
    public required IReadOnlyList<GraphicObject> Objects { get; init; }

    /// <summary>File attributes by name (<c>.FileFunction</c>), fields as written.</summary>
    public required IReadOnlyDictionary<string, IReadOnlyList<string>> FileAttributes { get; init; }

    /// <summary>Number of the layer in the build, counted from 1, where a comment of the CAD program says it.</summary>
    public int? PhysicalOrder { get; init; }

    /// <summary>What is drawn is what is not there (IPNEG, or a negative file polarity).</summary>
    public bool IsNegative { get; init; }
}

internal enum ObjectKind
{
    Flash,
    Draw,
    Region,
}

/// <param name="Kind">By which operation it was painted.</param>
/// <param name="Shape">Where, mm.</param>
/// <param name="IsDark">Adds; otherwise removes.</param>
/// <param name="Attributes">Of the object and its aperture.</param>
internal sealed record GraphicObject(ObjectKind Kind, Shape Shape, bool IsDark, ObjectAttributes Attributes);

/// <summary>A pin named by a <c>.P</c> attribute.</summary>
internal sealed record PinReference(string Part, string Pin, string? Function);

/// <param name="Net">First name of <c>.N</c>; null where the file says nothing, empty for no net.</param>
/// <param name="Pins">Of <c>.P</c>.</param>
/// <param name="Part">Of <c>.C</c>.</param>
/// <param name="Function">Of <c>.AperFunction</c>, the fields joined by commas.</param>
internal sealed record ObjectAttributes(string? Net, IReadOnlyList<PinReference> Pins, string? Part, string? Function)
{
    public static ObjectAttributes None { get; } = new(null, [], null, null);

    /// <summary>What a component layer says of a component (<c>.CRot</c>, <c>.CHgt</c>…), by attribute; null where nothing.</summary>
    public IReadOnlyDictionary<string, string>? Characteristics { get; init; }
}
