namespace HeatSpread.Rendering;

/// <summary>
/// Sizes that follow the picture's width, px. They grow more slowly than the width: a large picture is looked at closely and has room
/// for more detail, a small one must stay readable.
/// </summary>
/// <param name="Width">Of the picture.</param>
/// <param name="Scale">Of everything but the map: above 1 for a picture that is shown smaller than its pixels.</param>
internal readonly record struct PictureSizes(int Width, float Scale = 1)
{
    /// <summary>Font size of plain text.</summary>
    public float Text => Scale * Math.Max(9f, 10.5f * MathF.Pow(Width / 400f, 0.56f));

    public float Small => Text * 0.88f;

    public float Title => Text * 1.22f;

    /// <summary>Width of a thin line.</summary>
    public float Line => Math.Max(0.8f, Text / 13f);

    public float Margin => Text * 1.15f;

    /// <summary>No room for any text on the map.</summary>
    public bool IsThumbnail => Width < 240 * Scale;

    /// <summary>Room for the few most important words only.</summary>
    public bool IsSmall => Width < 560 * Scale;
}
