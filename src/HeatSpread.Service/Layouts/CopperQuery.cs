using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Layouts;

/// <summary>How the copper of a layer is to be drawn.</summary>
/// <param name="Width">Pixels.</param>
/// <param name="PitchMm">Of the cells shown; null: 0.25 mm, finer on a small board and coarser on a very large one.</param>
internal sealed record CopperQuery(int Width, double? PitchMm)
{
    private const double UsualPitch = 0.25e-3;
    private const double FewestCellsAlong = 200;
    private const double MostCellsAlong = 2000;

    public string Tag => string.Create(CultureInfo.InvariantCulture, $"{Width}-{PitchMm}");

    public static Reading<CopperQuery> Read(IQueryCollection query)
    {
        var reader = new QueryReader(query);
        int width = reader.Whole("width", 800, 64, 4096);
        double? pitch = reader.Number("pitchMm");
        if (pitch <= 0) reader.Fault("pitchMm", "must be positive", pitch.Value.ToString(CultureInfo.InvariantCulture));
        return reader.Finish(new CopperQuery(width, pitch));
    }

    /// <summary>The cells, at most about <paramref name="mostCells"/>.</summary>
    public BoardGrid Grid(Board board, long mostCells)
    {
        var box = board.Outline.Bounds;
        double along = Math.Max(box.Width, box.Height);
        double finest = Math.Sqrt(box.Width * box.Height / mostCells);
        double usual = Math.Clamp(UsualPitch, along / MostCellsAlong, along / FewestCellsAlong);
        return BoardGrid.Over(box, Math.Max(PitchMm * 1e-3 ?? usual, finest));
    }
}
