using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// Finds the hot spots of a board: the local maxima of the hottest copper temperature over each cell of the plan, so that one spot which shows on
/// all layers counts once. Two maxima are told apart by prominence, the fall from the lower one to the highest saddle that
/// joins it to a hotter one (topological persistence: H. Edelsbrunner, J. Harer, Computational Topology, AMS 2010, ch. VII), and by distance.
/// </summary>
internal static class HotSpots
{
    /// <summary>Most spots reported.</summary>
    public const int Most = 10;

    /// <summary>A spot stands out by at least this share of the peak's rise over the coldest sink.</summary>
    public const double LeastProminence = 0.02;

    /// <summary>Two spots are this far apart, m, or three cells where that is more.</summary>
    public const double LeastDistance = 1e-3;

    private const double LeastProminenceKelvin = 0.05;

    /// <returns>Hottest first; none on a board without copper layers or without a rise.</returns>
    public static IReadOnlyList<HotSpot> Find(Board board, Conditions conditions, GridSolution solution)
    {
        if (board.Layers.Count == 0) return [];
        var (grid, celsius) = (solution.Field.Grid, HottestOfLayers(board, solution.Field));
        double coldest = conditions.Contacts.Select(contact => contact.SinkCelsius).Append(conditions.AmbientCelsius).Min();
        double distance = Math.Max(LeastDistance, 3 * Math.Max(grid.PitchX, grid.PitchY));
        double rise = celsius.Where(float.IsFinite).DefaultIfEmpty().Max() - coldest;
        if (rise < LeastProminenceKelvin) return [];
        double prominence = Math.Max(LeastProminenceKelvin, LeastProminence * rise);

        var kept = new List<Point>();
        var spots = new List<HotSpot>();
        foreach (int cell in ProminentMaxima(celsius, grid.Columns, prominence))
        {
            var at = grid.Centre(cell % grid.Columns, cell / grid.Columns);
            if (spots.Count == Most) break;
            if (kept.Exists(other => double.Hypot(other.X - at.X, other.Y - at.Y) < distance)) continue;
            kept.Add(at);
            int layer = HottestLayer(board, solution.Field, cell);
            spots.Add(new(spots.Count + 1, celsius[cell], layer, at, FieldReadings.NetName(board, solution.Raster, layer, cell), PartAt.Find(board, at)?.Id));
        }
        return spots;
    }

    /// <summary>Cells that are the top of a piece of the field which falls by at least <paramref name="prominence"/> before it joins a hotter one; hottest first.</summary>
    /// <param name="celsius">One value a cell, x fastest, NaN for no cell.</param>
    /// <param name="columns">Cells along x.</param>
    /// <param name="prominence">K; the hottest cell is kept whatever its prominence.</param>
    internal static IReadOnlyList<int> ProminentMaxima(float[] celsius, int columns, double prominence)
    {
        int[] hottestFirst = HottestFirst(celsius);
        var pieces = new Pieces(celsius.Length);
        var tops = new List<int>();
        foreach (int cell in hottestFirst)
        {
            pieces.Start(cell);
            foreach (int neighbour in Neighbours(cell, columns, celsius.Length))
            {
                if (!pieces.Has(neighbour)) continue;
                var (high, low) = pieces.Join(cell, neighbour, celsius);
                if (low != high && celsius[low] - celsius[cell] >= prominence) tops.Add(low);
            }
        }
        // a piece that joined no other is led by its own top: one for each separate part of the board
        tops.AddRange(hottestFirst.Where(cell => pieces.Top(cell) == cell));
        return [.. tops.OrderByDescending(cell => celsius[cell]).ThenBy(cell => cell)];
    }

    private static int[] HottestFirst(float[] celsius)
    {
        int[] cells = [.. Enumerable.Range(0, celsius.Length).Where(cell => !float.IsNaN(celsius[cell]))];
        float[] coldness = [.. cells.Select(cell => -celsius[cell])];
        Array.Sort(coldness, cells);
        return cells;
    }

    private static IEnumerable<int> Neighbours(int cell, int columns, int count)
    {
        int column = cell % columns;
        for (int down = -columns; down <= columns; down += columns)
        {
            for (int right = -1; right <= 1; right++)
            {
                int neighbour = cell + down + right;
                if (neighbour != cell && neighbour >= 0 && neighbour < count && column + right >= 0 && column + right < columns) yield return neighbour;
            }
        }
    }

    private static float[] HottestOfLayers(Board board, TemperatureField field)
    {
        float[] hottest = [.. field.RowCelsius[board.Layers[0].Row]];
        foreach (var layer in board.Layers.Skip(1))
        {
            float[] celsius = field.RowCelsius[layer.Row];
            for (int cell = 0; cell < hottest.Length; cell++) hottest[cell] = Math.Max(hottest[cell], celsius[cell]);
        }
        return hottest;
    }

    private static int HottestLayer(Board board, TemperatureField field, int cell) =>
        Enumerable.Range(0, board.Layers.Count).MaxBy(layer => field.RowCelsius[board.Layers[layer].Row][cell]);

    /// <summary>Pieces of the field joined as its level sinks; each is led by its hottest cell.</summary>
    private sealed class Pieces
    {
        private readonly int[] parent;

        public Pieces(int count)
        {
            parent = new int[count];
            Array.Fill(parent, -1);
        }

        public bool Has(int cell) => parent[cell] >= 0;

        public void Start(int cell) => parent[cell] = cell;

        public int Top(int cell)
        {
            while (parent[cell] != cell)
            {
                parent[cell] = parent[parent[cell]];
                cell = parent[cell];
            }
            return cell;
        }

        /// <returns>The tops of the two pieces before they became one, the same where they were one already.</returns>
        public (int High, int Low) Join(int first, int second, float[] celsius)
        {
            int a = Top(first), b = Top(second);
            var (high, low) = celsius[a] > celsius[b] || (celsius[a] == celsius[b] && a < b) ? (a, b) : (b, a);
            parent[low] = high;
            return (high, low);
        }
    }
}
