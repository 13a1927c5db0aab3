using System.Runtime.InteropServices;
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
        var hills = new Pieces(HillsOf(celsius, columns));
        var tops = new List<int>();
        // As the level sinks, hills meet at their saddles.
        foreach (var (saddle, first, second) in Saddles(celsius, columns, hills).OrderByDescending(saddle => saddle.Celsius))
        {
            var (high, low) = hills.Join(first, second, celsius);
            if (low != high && celsius[low] - saddle >= prominence) tops.Add(low);
        }
        // a piece that joined no other is led by its own top: one for each separate part of the board
        tops.AddRange(Enumerable.Range(0, celsius.Length).Where(cell => hills.IsTop(cell)));
        return [.. tops.OrderByDescending(cell => celsius[cell]).ThenBy(cell => cell)];
    }

    /// <summary>For each cell the hottest of its neighbours and itself, -1 for no cell: followed to its end it leads to the top of the hill that the cell is part of.</summary>
    private static int[] HillsOf(float[] celsius, int columns)
    {
        int[] upward = new int[celsius.Length];
        Parallel.For(0, celsius.Length / columns, row =>
        {
            for (int cell = row * columns; cell < (row + 1) * columns; cell++)
            {
                upward[cell] = float.IsNaN(celsius[cell]) ? -1 : cell;
                if (upward[cell] < 0) continue;
                foreach (var (right, down) in AllAround)
                {
                    int neighbour = Neighbour(cell, right, down, columns, celsius.Length);
                    if (neighbour >= 0 && IsHotter(celsius, neighbour, upward[cell])) upward[cell] = neighbour;
                }
            }
        });
        return upward;
    }

    /// <summary>The hottest place where each two hills touch: the colder one of two cells beside each other.</summary>
    private static IEnumerable<(float Celsius, int First, int Second)> Saddles(float[] celsius, int columns, Pieces hills)
    {
        var saddles = new Dictionary<(int, int), float>();
        for (int cell = 0; cell < celsius.Length; cell++)
        {
            if (float.IsNaN(celsius[cell])) continue;
            int hill = hills.Top(cell);
            foreach (var (right, down) in Ahead)
            {
                int neighbour = Neighbour(cell, right, down, columns, celsius.Length);
                if (neighbour < 0 || float.IsNaN(celsius[neighbour])) continue;
                int other = hills.Top(neighbour);
                if (other == hill) continue;
                ref float saddle = ref CollectionsMarshal.GetValueRefOrAddDefault(saddles, (Math.Min(hill, other), Math.Max(hill, other)), out bool isKnown);
                float colder = Math.Min(celsius[cell], celsius[neighbour]);
                if (!isKnown || colder > saddle) saddle = colder;
            }
        }
        return saddles.Select(pair => (pair.Value, pair.Key.Item1, pair.Key.Item2));
    }

    /// <summary>In a fixed order where two are equally hot, so that a level field has a top, too.</summary>
    private static bool IsHotter(float[] celsius, int cell, int other) => celsius[cell] > celsius[other] || (celsius[cell] == celsius[other] && cell < other); // NaN compares false

    private static readonly (int Right, int Down)[] Ahead = [(1, 0), (-1, 1), (0, 1), (1, 1)];

    private static readonly (int Right, int Down)[] AllAround = [.. Ahead, .. Ahead.Select(step => (-step.Right, -step.Down))];

    /// <returns>-1 beyond the edge.</returns>
    private static int Neighbour(int cell, int right, int down, int columns, int count)
    {
        int column = cell % columns + right, neighbour = cell + right + down * columns;
        return column >= 0 && column < columns && neighbour >= 0 && neighbour < count ? neighbour : -1;
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
    /// <param name="parent">Of each cell another one of its piece that is nearer to the top, or itself; -1 for no cell.</param>
    private sealed class Pieces(int[] parent)
    {
        public bool IsTop(int cell) => parent[cell] == cell;

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
            var (high, low) = IsHotter(celsius, a, b) ? (a, b) : (b, a);
            parent[low] = high;
            return (high, low);
        }
    }
}
