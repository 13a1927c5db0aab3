using HeatSpread.Boards;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Gerber;

namespace HeatSpread.Import.Assembly;

/// <summary>One copper layer as painted.</summary>
/// <param name="Name">Of the stack row.</param>
/// <param name="File">It was read from.</param>
/// <param name="Elements">In order; nothing that paints nothing.</param>
internal sealed record PaintedLayer(string Name, string File, IReadOnlyList<GraphicObject> Elements)
{
    public IReadOnlyList<PaintedShape> Shapes { get; } = [.. Elements.Select(e => new PaintedShape(e.Shape, e.IsDark))];
}

/// <summary>The copper of all layers, top to bottom, before nets are known.</summary>
internal sealed record BoardCopper(IReadOnlyList<PaintedLayer> Layers)
{
    /// <summary>Whether any file names nets.</summary>
    public bool HasNetAttributes { get; } = Layers.Any(l => l.Elements.Any(e => e.Attributes.Net is { Length: > 0 }));

    /// <summary>Whether any file names pins.</summary>
    public bool HasPinAttributes { get; } = Layers.Any(l => l.Elements.Any(e => e.Attributes.Pins.Count > 0));

    public Box Bounds { get; } = Layers.SelectMany(l => l.Elements).Where(e => e.IsDark).Aggregate(Box.Empty, (box, e) => box.Include(SpanCutter.Bounds(e.Shape)));
}

/// <summary>A hole, round or routed.</summary>
/// <param name="Path">One centre of a round hole, the centre line of a slot (or a place in it); mm.</param>
/// <param name="Diameter">mm; of a slot the tool's, 0 where only its outline is known.</param>
/// <param name="IsPlated">Plated on its wall.</param>
/// <param name="From">Index of the upper copper layer it joins.</param>
/// <param name="To">Index of the lower one.</param>
internal sealed record BoardHole(IReadOnlyList<Point> Path, double Diameter, bool IsPlated, int From, int To)
{
    /// <summary>Of a slot, mm; null for a round hole.</summary>
    public Polygon? Outline { get; init; }

    /// <summary>Where the file names it.</summary>
    public string? Net { get; init; }

    public bool IsSlot => Outline is not null;
}
