using HeatSpread.Boards;

namespace HeatSpread.Thermal.Raster;

/// <summary>Where two programs of painting paint otherwise.</summary>
internal static class PaintDifference
{
    /// <summary>A box around all shapes between the first and the last one in which the two differ; null where they are the same.</summary>
    public static Box? Between(PaintProgram first, PaintProgram second)
    {
        int before = 0, shorter = Math.Min(first.Shapes.Length, second.Shapes.Length);
        while (before < shorter && AreSame(first, before, second, before)) before++;
        if (before == first.Shapes.Length && before == second.Shapes.Length) return null;
        int after = 0;
        while (after < shorter - before && AreSame(first, first.Shapes.Length - 1 - after, second, second.Shapes.Length - 1 - after)) after++;
        return Around(first, before, first.Shapes.Length - after, Around(second, before, second.Shapes.Length - after, Box.Empty));
    }

    private static bool AreSame(PaintProgram first, int firstIndex, PaintProgram second, int secondIndex)
    {
        PaintShape a = first.Shapes[firstIndex], b = second.Shapes[secondIndex];
        return a.Action == b.Action && a.Owner == b.Owner && a.A == b.A && a.B == b.B && a.Radius == b.Radius && a.Side == b.Side && a.EdgeCount == b.EdgeCount
            && first.Edges.Slice(a.FirstEdge, a.EdgeCount).SequenceEqual(second.Edges.Slice(b.FirstEdge, b.EdgeCount));
    }

    private static Box Around(PaintProgram program, int from, int to, Box box)
    {
        for (int index = from; index < to; index++)
        {
            var shape = program.Shapes[index];
            if (shape.IsCapsule) box = box.Include(Box.Empty.Include(shape.A).Include(shape.B).Grow(shape.Radius));
            foreach (var edge in program.Edges.Slice(shape.FirstEdge, shape.EdgeCount)) box = box.Include(edge.A).Include(edge.B);
        }
        return box;
    }
}
