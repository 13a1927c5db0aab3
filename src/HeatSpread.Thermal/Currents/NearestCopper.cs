using HeatSpread.Boards;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Currents;

/// <summary>Where two pieces of a net's copper come nearest to each other in the plan.</summary>
/// <param name="From">Edge of the one, m.</param>
/// <param name="To">Edge of the other, m.</param>
/// <param name="FromLayer">Index into the board's copper layers.</param>
/// <param name="ToLayer">As the other.</param>
/// <param name="OtherPiece">Which of the others it is.</param>
internal sealed record CopperApproach(Point From, Point To, int FromLayer, int ToLayer, int OtherPiece)
{
    /// <summary>m in the plan.</summary>
    public double Distance => double.Hypot(To.X - From.X, To.Y - From.Y);
}

/// <summary>Finds it, to the raster's fine points.</summary>
internal sealed class NearestCopper(NetCopper copper, CopperPaths paths)
{
    /// <param name="piece">Of <see cref="CopperPaths.PieceOf"/>.</param>
    /// <param name="others">Other pieces.</param>
    /// <returns>Null where one of the two has no copper in any layer.</returns>
    public CopperApproach? Between(int piece, HashSet<int> others)
    {
        Place[] near = Rim(found => found == piece), far = Rim(others.Contains);
        if (near.Length == 0 || far.Length == 0) return null;
        double[] rows = [.. far.Select(place => place.Middle.Y)];
        (Place From, Place To) best = (near[0], far[0]);
        double least = double.PositiveInfinity;
        foreach (var from in near)
        {
            // Rows nearer than the best so far alone, from the own one outwards.
            int start = Array.BinarySearch(rows, from.Middle.Y);
            if (start < 0) start = ~start;
            for (int i = start; i < far.Length && Closer(rows[i] - from.Middle.Y); i++) Compare(from, far[i]);
            for (int i = start - 1; i >= 0 && Closer(rows[i] - from.Middle.Y); i--) Compare(from, far[i]);
        }
        return Edges(best.From, best.To);

        bool Closer(double alongY) => alongY * alongY < least;

        void Compare(Place from, Place to)
        {
            double x = to.Middle.X - from.Middle.X, y = to.Middle.Y - from.Middle.Y, square = x * x + y * y;
            if (square < least) (least, best) = (square, (from, to));
        }
    }

    /// <summary>Cells of pieces that have a neighbour in the plan that is of another one, by the height of their copper's middle.</summary>
    private Place[] Rim(Func<int, bool> isOfPiece)
    {
        var places = new List<Place>();
        int columns = copper.Grid.Columns, rows = copper.Grid.Rows;
        for (int cell = 0; cell < copper.CellCount; cell++)
        {
            int inPlane = cell % copper.PlaneCount, column = inPlane % columns, row = inPlane / columns;
            if (copper.Layers[cell / copper.PlaneCount].MainPiece[inPlane] == 0 || !isOfPiece(paths.PieceOf(cell))) continue;
            bool isInner = column > 0 && column < columns - 1 && row > 0 && row < rows - 1 && Is(cell - 1) && Is(cell + 1) && Is(cell - columns) && Is(cell + columns);
            if (!isInner) places.Add(new(cell, copper.Middle(cell)));
        }
        return [.. places.OrderBy(place => place.Middle.Y)];

        bool Is(int cell) => copper.Layers[cell / copper.PlaneCount].MainPiece[cell % copper.PlaneCount] != 0 && isOfPiece(paths.PieceOf(cell));
    }

    /// <summary>The nearest edges of two cells' copper, from its fine points.</summary>
    private CopperApproach Edges(Place from, Place to)
    {
        double fineX = copper.Grid.PitchX / RowScanner.Fine, fineY = copper.Grid.PitchY / RowScanner.Fine, least = double.PositiveInfinity;
        (Point From, Point To) best = (from.Middle, to.Middle);
        foreach (var a in Points(from.Cell))
        {
            foreach (var b in Points(to.Cell))
            {
                double gapX = Math.Max(0, Math.Abs(b.X - a.X) - fineX), gapY = Math.Max(0, Math.Abs(b.Y - a.Y) - fineY), square = gapX * gapX + gapY * gapY;
                if (square >= least) continue;
                double halfX = (Math.Abs(b.X - a.X) - gapX) / 2 * Math.Sign(b.X - a.X), halfY = (Math.Abs(b.Y - a.Y) - gapY) / 2 * Math.Sign(b.Y - a.Y);
                (least, best) = (square, (new(a.X + halfX, a.Y + halfY), new(b.X - halfX, b.Y - halfY)));
            }
        }
        return new(best.From, best.To, copper.LayerOf(from.Cell), copper.LayerOf(to.Cell), paths.PieceOf(to.Cell));
    }

    private IEnumerable<Point> Points(int cell)
    {
        int inPlane = cell % copper.PlaneCount;
        ulong piece = copper.Layers[cell / copper.PlaneCount].MainPiece[inPlane];
        for (int bit = 0; bit < RowScanner.Fine * RowScanner.Fine; bit++)
        {
            if ((piece >> bit & 1) == 0) continue;
            yield return new Point(
                copper.Grid.Origin.X + (inPlane % copper.Grid.Columns + (bit % RowScanner.Fine + 0.5) / RowScanner.Fine) * copper.Grid.PitchX,
                copper.Grid.Origin.Y + (inPlane / copper.Grid.Columns + (bit / RowScanner.Fine + 0.5) / RowScanner.Fine) * copper.Grid.PitchY);
        }
    }

    /// <summary>A cell and the middle of its copper.</summary>
    private readonly record struct Place(int Cell, Point Middle);
}
