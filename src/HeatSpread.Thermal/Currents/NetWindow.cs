using HeatSpread.Boards;

namespace HeatSpread.Thermal.Currents;

/// <summary>
/// The part of a board that a net's copper lies in, and how fine it is to be cut for the current: cells of the temperature field, each divided into equal ones, so that losses and temperatures
/// pass from one grid to the other by whole cells.
/// </summary>
internal sealed record NetWindow
{
    private NetWindow(BoardGrid thermal, int refinement) => (Thermal, Refinement) = (thermal, refinement);

    /// <summary>Cells of the temperature field.</summary>
    public BoardGrid Thermal { get; }

    /// <summary>Parts of a cell of <see cref="Thermal"/> along x and along y.</summary>
    public int Refinement { get; private init; }

    public required int FirstColumn { get; init; }

    public required int FirstRow { get; init; }

    public required int Columns { get; init; }

    public required int Rows { get; init; }

    /// <summary>Index into the board's copper layers.</summary>
    public required int FirstLayer { get; init; }

    public required int LayerCount { get; init; }

    public long CellCount => (long)Columns * Rows * LayerCount * Refinement * Refinement;

    /// <summary>The cells for the current.</summary>
    public BoardGrid Grid => new()
    {
        Columns = Columns * Refinement,
        Rows = Rows * Refinement,
        Origin = new(Thermal.Origin.X + FirstColumn * Thermal.PitchX, Thermal.Origin.Y + FirstRow * Thermal.PitchY),
        PitchX = Thermal.PitchX / Refinement,
        PitchY = Thermal.PitchY / Refinement,
    };

    /// <summary>Over all copper of a net, its narrowest track at least one cell wide as far as <paramref name="mostCells"/> allows.</summary>
    /// <param name="board">The board.</param>
    /// <param name="net">Index into its nets; the net has copper.</param>
    /// <param name="thermal">Cells of the temperature field.</param>
    /// <param name="mostCells">Of all layers.</param>
    public static NetWindow Of(Board board, int net, BoardGrid thermal, long mostCells)
    {
        var box = Box.Empty;
        int first = int.MaxValue, last = -1;
        double narrowest = double.PositiveInfinity;
        void Include(Box shape, int from, int to)
        {
            box = box.Include(shape);
            (first, last) = (Math.Min(first, from), Math.Max(last, to));
        }

        foreach (var feature in board.Copper.Where(feature => feature.Net == net && !feature.IsClear))
        {
            if (feature.Track is { } track) narrowest = Math.Min(narrowest, track.Width);
            Include(feature.Area?.Bounds ?? feature.Track!.Path.Aggregate(Box.Empty, (b, p) => b.Include(p)).Grow(feature.Track.Width / 2), feature.Layer, feature.Layer);
        }
        foreach (var via in board.Vias.Where(via => via.Net == net))
        {
            foreach (var at in via.At) Include(new Box(at.X, at.Y, at.X, at.Y).Grow(Math.Max(via.Drill, via.Pad) / 2), via.FromLayer, via.ToLayer);
        }
        foreach (var part in board.Parts)
        {
            foreach (var terminal in part.Terminals.Where(terminal => terminal.Net == net))
            {
                foreach (var side in part.SidesOf(terminal)) Include(terminal.Pad.Bounds, board.OuterLayer(side), board.OuterLayer(side));
            }
        }
        var (left, lower) = thermal.CellAt(new Point(box.MinX, box.MinY));
        var (right, upper) = thermal.CellAt(new Point(box.MaxX, box.MaxY));
        var window = new NetWindow(thermal, 1)
        {
            FirstColumn = left,
            FirstRow = lower,
            Columns = right - left + 1,
            Rows = upper - lower + 1,
            FirstLayer = first,
            LayerCount = last - first + 1,
        };
        double wanted = Math.Ceiling(Math.Max(thermal.PitchX, thermal.PitchY) / narrowest * (1 - 1e-9));
        return window.Divided((int)Math.Clamp(Math.Min(wanted, Math.Floor(Math.Sqrt((double)mostCells / window.CellCount))), 1, 1000));
    }

    /// <summary>The same window cut otherwise.</summary>
    public NetWindow Divided(int refinement) => this with { Refinement = refinement };
}
