using System.Diagnostics;
using HeatSpread.Boards;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal;

/// <summary>What an edit adds to a board: copper, painted after all there is, and vias. Where it lies is told by the shapes themselves.</summary>
/// <param name="Copper">In the order of painting.</param>
/// <param name="Vias">Joined to the layers that they name.</param>
public sealed record BoardEdit(IReadOnlyList<CopperFeature> Copper, IReadOnlyList<ViaGroup> Vias)
{
    /// <summary>Holds every change of copper and vias, m.</summary>
    public Box Bounds
    {
        get
        {
            var box = Box.Empty;
            foreach (var feature in Copper)
            {
                var shape = feature.Area?.Bounds ?? feature.Track!.Path.Aggregate(Box.Empty, (b, p) => b.Include(p)).Grow(feature.Track.Width / 2);
                box = box.Include(shape.Grow(feature.Clearance));
            }
            foreach (var group in Vias)
            {
                double reach = Math.Max(group.Pad / 2, group.Drill / 2 + group.Clearance);
                box = box.Include(group.At.Aggregate(Box.Empty, (b, p) => b.Include(p)).Grow(reach));
            }
            return box;
        }
    }

    /// <summary>The layers whose copper changes.</summary>
    public IReadOnlyCollection<int> Layers =>
        [.. Copper.Select(feature => feature.Layer).Concat(Vias.SelectMany(group => Enumerable.Range(group.FromLayer, group.ToLayer - group.FromLayer + 1))).Distinct()];

    public Board Apply(Board board)
    {
        ArgumentNullException.ThrowIfNull(board);
        return board.With(Copper, Vias);
    }

    /// <summary>The board with the edit made, and where it differs.</summary>
    public ChangedBoard On(Board board) => new(Apply(board), Bounds, Layers);
}

/// <summary>A board that differs from a solved one in copper and vias alone.</summary>
/// <param name="Board">Outline, stack and parts are those of the solved one.</param>
/// <param name="Bounds">Holds every change, m.</param>
/// <param name="Layers">Whose copper changes.</param>
public sealed record ChangedBoard(Board Board, Box Bounds, IReadOnlyCollection<int> Layers);

/// <summary>A board's network with an edit made in it, not yet solved.</summary>
public sealed class EditedNetwork
{
    private readonly SolvedNetwork _before;
    private readonly ThermalNetwork _network;
    private readonly GridWindow _window;
    private readonly ChangedBoard _change;

    private EditedNetwork(SolvedNetwork before, ThermalNetwork network, GridWindow window, ChangedBoard change) => (_before, _network, _window, _change) = (before, network, window, change);

    /// <summary>Makes a change: only what differs is drawn and assembled again.</summary>
    /// <param name="before">The solved board.</param>
    /// <param name="change">Of that board.</param>
    /// <param name="cancellationToken">Checked between rows of cells.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static EditedNetwork Make(SolvedNetwork before, ChangedBoard change, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(before);
        ArgumentNullException.ThrowIfNull(change);
        var raster = before.Raster.Redrawn(change.Board, change.Bounds, change.Layers, cancellationToken);
        var window = GridWindow.About(raster.Grid, change.Bounds);
        var network = before.Network.Edited(change.Board, raster, window.FirstRow, window.LastRow, cancellationToken);
        network.TakeTemperatures(before.Rise, before.Conditions.AmbientCelsius, cancellationToken);
        return new(before, network, window, change);
    }

    /// <summary>Copper that the edit puts where its net had none, over all layers, m²; what gives way to it is not taken off.</summary>
    /// <param name="cancellationToken">Checked between rows of cells.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public double AddedCopper(CancellationToken cancellationToken)
    {
        var (before, after) = (_before.Board, _network.Board);
        var window = new RedrawnWindow(_before.Raster, before, _change.Bounds);
        return _change.Layers.Sum(layer => window.Beyond(window.Index(after, layer), window.Index(before, layer), cancellationToken).Share.Sum(share => (double)share)) * _network.Raster.Grid.CellArea;
    }

    /// <summary>
    /// What the edit gains at a reading by first order: for each link λ·ΔK·T, the product of the differences of field and adjoint across it and of what is
    /// added to its conductance. An edit that closes a gap changes the field so much that this is far too large; so it is damped by the energy that the edit takes from the adjoint
    /// itself (a Galerkin step along the adjoint): the gain stays below the reading's rise.
    /// </summary>
    /// <param name="adjoint">Of the reading, over all unknowns.</param>
    /// <param name="reading">Whose adjoint it is.</param>
    /// <returns>K, positive where the reading cools.</returns>
    public double FirstOrderGain(ReadOnlySpan<double> adjoint, LinearReading reading)
    {
        ArgumentNullException.ThrowIfNull(reading);
        double flow = 0, energy = 0;
        var (grid, former) = (_network.Grid, _before.Network.Grid);
        int columns = grid.Columns, plane = _network.PlaneCount;
        for (int sheet = 0; sheet < grid.Sheets; sheet++)
        {
            for (int cell = sheet * plane + _window.FirstRow * columns; cell < sheet * plane + (_window.LastRow + 1) * columns; cell++)
            {
                Add(grid.East[cell] - former.East[cell], cell, cell + 1, adjoint);
                Add(grid.North[cell] - former.North[cell], cell, cell + columns, adjoint);
                Add(grid.Below[cell] - former.Below[cell], cell, cell + plane, adjoint);
            }
        }
        double self = reading.On(adjoint);
        return flow / (1 + Math.Max(0, energy) / self);

        void Add(float added, int from, int to, ReadOnlySpan<double> adjoint)
        {
            if (added == 0) return;
            double difference = adjoint[from] - adjoint[to];
            flow += added * difference * (_before.Rise[from] - _before.Rise[to]);
            energy += added * difference * difference;
        }
    }

    /// <summary>Solves, from the field before the edit or a better guess.</summary>
    /// <param name="tolerance">Relative true residual to reach, 1e-9 to 1e-3: what counts is a difference of two fields.</param>
    /// <param name="guess">Over all unknowns, K over ambient; null: the field before the edit. It becomes the field.</param>
    /// <param name="capacity">Cores and memory, shared with other solves.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">Not converged.</exception>
    public SolvedNetwork Solve(double tolerance, double[]? guess, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(capacity);
        long start = Stopwatch.GetTimestamp();
        var parts = PartAttachments.Attach(_network, _before.Conditions, _before.Parts);
        var faces = new OuterFaces(_network, _before.Conditions);
        var rim = new RimFilm(_network, _before.Conditions.EdgesFilm);
        var coupled = ThermalSolve.Coupled(_network, _before.Conditions, parts, capacity, cancellationToken);
        double[] field = guess ?? [.. _before.Rise];
        var passes = new TemperaturePasses(_network, parts, faces, rim, coupled, _before.Conditions.AmbientCelsius, capacity.Resources) { StartsNear = true, Like = _before.Solver };
        var (solver, report) = passes.Run(field, tolerance, tolerance, progress: null, cancellationToken);
        var figures = new SolveFigures(_network.UnknownCount, report.Iterations, report.RelativeResidual, 0, Stopwatch.GetElapsedTime(start).TotalSeconds) { FilmResiduals = passes.Residuals };
        return new SolvedNetwork(_network, _before.Conditions, parts, faces, rim, coupled, solver, field, figures);
    }
}
