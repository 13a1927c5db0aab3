using System.Globalization;
using System.Text;
using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <summary>What a study cost.</summary>
/// <param name="Rasters">Times that copper was drawn on the study's grid, in whole or in part.</param>
/// <param name="SetUps">Networks assembled.</param>
/// <param name="Solves">Fields solved on the study's grid, adjoints among them.</param>
public readonly record struct StudyCost(int Rasters, int SetUps, int Solves);

/// <summary>
/// Solves the cases of a study one after the other, each from the last: what two cases share is not made twice. The network stays where the board does, the hierarchy where the
/// films are near, the raster where the same is drawn.
/// </summary>
public sealed class StudySolver : IDisposable
{
    private readonly SolveCapacity _capacity;
    private readonly CancellationToken _cancellationToken;
    private readonly double _pitch;
    private SolvedNetwork _last;

    private StudySolver(GridSolution answer, double gridErrorKelvin, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        (_pitch, Base, GridErrorKelvin, _capacity, _cancellationToken) = (answer.Pitch, answer.Solved!, gridErrorKelvin, capacity, cancellationToken);
        _last = Base;
    }

    /// <summary>The base case, solved; it stays as long as this does.</summary>
    public SolvedNetwork Base { get; }

    /// <summary>Asked for or chosen, m.</summary>
    public double PitchMeters => _pitch;

    /// <summary>Bound on the grid's error of the base case.</summary>
    public double GridErrorKelvin { get; }

    public StudyCost Cost { get; private set; } = new(1, 1, 1);

    /// <summary>Solves the base case on the grid asked for, and on those beside it that tell its error.</summary>
    /// <param name="cases">Whose base.</param>
    /// <param name="grid">How fine.</param>
    /// <param name="capacity">Cores and memory.</param>
    /// <param name="progress">May be null.</param>
    /// <param name="cancellationToken">Ends it, and all that is asked of it later.</param>
    /// <exception cref="ThermalSolveException">The base has no field.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static StudySolver Start(StudyCases cases, GridChoice grid, SolveCapacity capacity, IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(cases);
        ArgumentNullException.ThrowIfNull(grid);
        ArgumentNullException.ThrowIfNull(capacity);
        var solver = new GridSolver(cases.Base.Board, cases.Base.Conditions, capacity, progress, cancellationToken);
        var (answer, error, _) = solver.Solve(grid);
        if (solver.Trial is { } trial && trial.Pitch != answer.Pitch) trial.Solved?.Dispose();
        return new(answer, error, capacity, cancellationToken);
    }

    /// <summary>Solves a case. The result stays until the next one is solved; the base stays.</summary>
    /// <exception cref="ThermalSolveException">It has no field.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public SolvedNetwork Solve(StudyCase studied)
    {
        ArgumentNullException.ThrowIfNull(studied);
        _cancellationToken.ThrowIfCancellationRequested();
        var former = _last;
        var solved = SolveFrom(former, studied);
        if (former != Base) former.Dispose();
        Count(solves: 1);
        return _last = solved;
    }

    /// <summary>Copper of a board in the study's cells.</summary>
    public CopperRaster Raster(Board board)
    {
        ArgumentNullException.ThrowIfNull(board);
        var grid = BoardGrid.Over(board.Outline.Bounds, _pitch);
        if (Base.Raster.Grid == grid && CopperRaster.AreDrawnAlike(board, Base.Board)) return Base.Raster;
        var near = _last.Raster.Grid == grid ? _last : Base;
        var raster = near.Raster.Grid == grid ? CopperRaster.Near(board, near.Board, near.Raster, _cancellationToken) : CopperRaster.Build(board, grid, _cancellationToken);
        if (raster != near.Raster) Count(rasters: 1);
        return raster;
    }

    /// <summary>Fields of unit responses, or of other heats, on a solved network.</summary>
    public double[][] Fields(SolvedNetwork solved, IReadOnlyList<double[]> sources)
    {
        ArgumentNullException.ThrowIfNull(solved);
        ArgumentNullException.ThrowIfNull(sources);
        Count(solves: sources.Count);
        return sources.Count == 0 ? [] : solved.Fields(sources, _cancellationToken);
    }

    /// <summary>Adjoints of readings on a solved network.</summary>
    public double[][] Adjoints(SolvedNetwork solved, IReadOnlyList<LinearReading> readings)
    {
        ArgumentNullException.ThrowIfNull(solved);
        ArgumentNullException.ThrowIfNull(readings);
        Count(solves: readings.Count);
        return solved.Adjoints(readings, _cancellationToken);
    }

    /// <summary>What the temperatures of a linear network depend on beside its heats: cases of equal keys on one board are sums of the same fields.</summary>
    internal static string NetworkKey(Conditions conditions)
    {
        var key = new StringBuilder();
        key.Append(CultureInfo.InvariantCulture, $"{conditions.Top} {conditions.Bottom} {conditions.EdgesFilm:R}");
        foreach (var contact in conditions.Contacts)
        {
            key.Append(CultureInfo.InvariantCulture, $"|{contact.Side} {contact.WattsPerSquareMeterKelvin:R}");
            foreach (var point in contact.Area.Polygons.SelectMany(polygon => polygon.Rings).SelectMany(ring => ring)) key.Append(CultureInfo.InvariantCulture, $" {point.X:R},{point.Y:R}");
        }
        return key.ToString();
    }

    /// <summary>The heats of a case: watts of each part, then K of each contact's sink over the ambient.</summary>
    internal static double[] Source(Board board, Conditions conditions) =>
    [
        .. board.Parts.Select((part, index) => conditions.Watts.TryGetValue(index, out double given) ? given : part.Watts),
        .. conditions.Contacts.Select(contact => contact.SinkCelsius - conditions.AmbientCelsius),
    ];

    public void Dispose()
    {
        if (_last != Base) _last.Dispose();
        Base.Dispose();
    }

    private SolvedNetwork SolveFrom(SolvedNetwork former, StudyCase studied)
    {
        if (ReferenceEquals(former.Board, studied.Board)) return ThermalSolve.RunNear(former, studied.Conditions, _capacity, _cancellationToken);
        if (ReferenceEquals(Base.Board, studied.Board)) return ThermalSolve.RunNear(Base, studied.Conditions, _capacity, _cancellationToken);
        var raster = Raster(studied.Board);
        Count(setUps: 1);
        return ThermalSolve.RunNear(former, studied.Board, studied.Conditions, raster, _capacity, _cancellationToken);
    }

    private void Count(int rasters = 0, int setUps = 0, int solves = 0) => Cost = new(Cost.Rasters + rasters, Cost.SetUps + setUps, Cost.Solves + solves);
}
