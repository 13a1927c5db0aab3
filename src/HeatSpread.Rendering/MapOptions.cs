namespace HeatSpread.Rendering;

/// <summary>How a temperature map is drawn.</summary>
public sealed record MapOptions
{
    /// <summary>Width of the picture in pixels, 64 to 4096.</summary>
    public int Width { get; init; } = 800;

    /// <summary>Lower end of the colour scale, °C; null: the lowest temperature shown.</summary>
    public double? MinCelsius { get; init; }

    /// <summary>Upper end of the colour scale, °C; null: the highest temperature shown.</summary>
    public double? MaxCelsius { get; init; }

    /// <summary>Name of a palette of <see cref="Palettes"/>; null: the default.</summary>
    public string? Palette { get; init; }

    /// <summary>Copper and part outlines with part ids.</summary>
    public bool Outlines { get; init; } = true;

    /// <summary>Lines of equal temperature with labels.</summary>
    public bool Isotherms { get; init; }

    public bool Legend { get; init; } = true;
}
