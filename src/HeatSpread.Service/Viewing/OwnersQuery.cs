using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Viewing;

/// <summary>Which window of a layer is asked for, and how fine.</summary>
/// <param name="BoxMm">minX, minY, maxX, maxY; null: the whole board.</param>
/// <param name="Columns">Cells along x.</param>
internal sealed record OwnersQuery(double[]? BoxMm, int Columns)
{
    private const int MostCells = 4096;

    public string Tag => string.Create(CultureInfo.InvariantCulture, $"{Columns}-{(BoxMm is null ? "" : string.Join('_', BoxMm.Select(edge => edge.ToString("R", CultureInfo.InvariantCulture))))}");

    public static Reading<OwnersQuery> Read(IQueryCollection query)
    {
        var reader = new QueryReader(query);
        int columns = reader.Whole("columns", 1000, 1, MostCells);
        string? text = reader.Text("box");
        double[]? box = text is null ? null : Box(text);
        if (text is not null && box is null) reader.Fault("box", "must be four numbers minX,minY,maxX,maxY in mm with extents above 0", text);
        return reader.Finish(new OwnersQuery(box, columns));
    }

    /// <summary>Square cells over the window, along y at most as many as along x may be.</summary>
    public BoardGrid Window(Box board)
    {
        var (left, low, right, high) = BoxMm is { } mm ? (mm[0] * 1e-3, mm[1] * 1e-3, mm[2] * 1e-3, mm[3] * 1e-3) : (board.MinX, board.MinY, board.MaxX, board.MaxY);
        int rows = Math.Clamp((int)Math.Round(Columns * (high - low) / (right - left)), 1, MostCells);
        return new BoardGrid { Columns = Columns, Rows = rows, Origin = new(left, low), PitchX = (right - left) / Columns, PitchY = (high - low) / rows };
    }

    private static double[]? Box(string text)
    {
        const double most = 1e5;
        string[] parts = text.Split(',');
        var edges = new double[4];
        if (parts.Length != edges.Length) return null;
        for (int i = 0; i < edges.Length; i++)
        {
            if (!double.TryParse(parts[i], NumberStyles.Float, CultureInfo.InvariantCulture, out edges[i]) || !(Math.Abs(edges[i]) <= most)) return null;
        }
        const double leastExtent = 1e-6;
        return edges[2] - edges[0] > leastExtent && edges[3] - edges[1] > leastExtent ? edges : null;
    }
}
