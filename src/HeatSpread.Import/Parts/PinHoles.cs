using HeatSpread.Boards;
using HeatSpread.Import.Assembly;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Parts;

/// <summary>Pads of pins that stand in plated holes: they are copper on both sides, and the barrel joins them.</summary>
internal sealed class PinHoles
{
    private readonly FabricationData data;
    private readonly Dictionary<(int, int), List<BoardHole>> cells = [];
    private readonly Dictionary<int, PadFinder> finders = [];

    public PinHoles(FabricationData data)
    {
        this.data = data;
        foreach (var hole in data.Holes.Where(h => h.IsPlated && h.From == 0 && h.To == data.Copper.Layers.Count - 1 && h.To > 0))
        {
            var middle = Middle(hole);
            var cell = Cell(middle);
            if (!cells.TryGetValue(cell, out var list)) cells[cell] = list = [];
            list.Add(hole);
        }
    }

    /// <summary>What the pads of a pin have in common with those of the same holes on the other side, mm; null where any of them has no plated hole or no pad there.</summary>
    public IReadOnlyList<Polygon>? OnBothSides(IReadOnlyList<PadCandidate> pads)
    {
        var common = new List<Polygon>();
        foreach (var pad in pads)
        {
            if (HoleIn(pad) is not { } hole) return null;
            int other = pad.Layer == 0 ? data.Copper.Layers.Count - 1 : 0;
            if (!finders.TryGetValue(other, out var finder)) finders[other] = finder = new PadFinder(data, other);
            if (finder.At(Middle(hole)) is not { } opposite) return null;
            common.AddRange(Overlay.Intersection(Copper(pad), Copper(opposite)));
        }
        return common.Count > 0 ? common : null;
    }

    private IReadOnlyList<Polygon> Copper(PadCandidate pad) => Overlay.Union(Aperture.Polygons(data.Copper.Layers[pad.Layer].Elements[pad.Element].Shape));

    private BoardHole? HoleIn(PadCandidate pad)
    {
        var (firstColumn, firstRow) = Cell(new Point(pad.Bounds.MinX, pad.Bounds.MinY));
        var (lastColumn, lastRow) = Cell(new Point(pad.Bounds.MaxX, pad.Bounds.MaxY));
        if ((long)(lastColumn - firstColumn + 1) * (lastRow - firstRow + 1) > 10_000) return null; // a plane, not a pin's pad
        for (int column = firstColumn; column <= lastColumn; column++)
        {
            for (int row = firstRow; row <= lastRow; row++)
            {
                if (cells.GetValueOrDefault((column, row))?.Find(h => IsPinOf(pad, h)) is { } hole) return hole;
            }
        }
        return null;
    }

    /// <summary>The hole is in the middle of the pad, and takes enough of it to be its own: a via in a large pad is no pin.</summary>
    private static bool IsPinOf(PadCandidate pad, BoardHole hole)
    {
        double width = hole.Outline?.Bounds.Width ?? hole.Diameter, height = hole.Outline?.Bounds.Height ?? hole.Diameter;
        double off = Arcs.Distance(Middle(hole), pad.Center), least = Math.Min(pad.Bounds.Width, pad.Bounds.Height);
        return off < least / 4 && Math.Min(width, height) > 0.25 * least;
    }

    private static Point Middle(BoardHole hole) => hole.Outline?.Bounds.Centre ?? hole.Path[0];

    private static (int, int) Cell(Point p) => ((int)Math.Floor(p.X), (int)Math.Floor(p.Y));
}
