namespace HeatSpread.Rendering;

/// <summary>How a temperature map is drawn.</summary>
public sealed record MapOptions
{
    /// <summary>Width of the picture in pixels, 64 to 4096. The height follows from the board's shape.</summary>
    public int Width { get; init; } = 800;

    /// <summary>Of text and lines, above 0: more than 1 for a picture that is shown smaller than its pixels, as on paper.</summary>
    public float TextScale { get; init; } = 1;

    /// <summary>Lower end of the colour scale, °C (K in a difference map, A/mm² in a map of current); null: the lowest value shown.</summary>
    public double? MinCelsius { get; init; }

    /// <summary>Upper end of the colour scale, °C (K in a difference map, A/mm² in a map of current); null: the highest value shown.</summary>
    public double? MaxCelsius { get; init; }

    /// <summary>Name of a palette of <see cref="Palettes"/>; null: the default of the kind of picture.</summary>
    public string? Palette { get; init; }

    /// <summary>Copper and part outlines with part ids.</summary>
    public bool Outlines { get; init; } = true;

    /// <summary>Lines of equal temperature with labels.</summary>
    public bool Isotherms { get; init; }

    /// <summary>Lines along which heat flows in the plane.</summary>
    public bool Flow { get; init; }

    /// <summary>
    /// Title, colour scale and scale bar around the map, on white. Without it the picture is the outline's bounding box, edge to edge,
    /// transparent where there is no board.
    /// </summary>
    public bool Legend { get; init; } = true;
}
