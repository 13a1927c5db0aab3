using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>Tries edits: by first order, on the coarse grid of trials, and on the grid of the answer.</summary>
internal sealed class EditTrials
{
    /// <summary>Parts whose adjoints rank the edits: the hottest of those that make heat.</summary>
    private const int MostReadings = 3;

    /// <summary>Of the adjoints, which only rank.</summary>
    private const double Tolerance = 1e-4;

    private readonly SolvedNetwork _answer, _trial;
    private readonly SolveCapacity _capacity;
    private readonly CancellationToken _cancellationToken;
    private readonly int[] _heated;
    private readonly (LinearReading Reading, double[] Adjoint)[] _readings;
    private readonly double[] _answerCelsius, _trialCelsius;

    public EditTrials(Board board, GridSolution answer, GridSolution trial, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        _answer = answer.Solved ?? throw new ArgumentException("The network must be kept.", nameof(answer));
        _trial = trial.Solved ?? throw new ArgumentException("The network must be kept.", nameof(trial));
        (_capacity, _cancellationToken) = (capacity, cancellationToken);
        _heated = [.. Enumerable.Range(0, board.Parts.Count).Where(part => answer.Field.Parts[part].Watts > 0).OrderByDescending(part => answer.Field.Parts[part].MaxCelsius)];
        _answerCelsius = [.. _heated.Select(part => answer.Field.Parts[part].MaxCelsius)];
        _trialCelsius = [.. _heated.Select(part => trial.Field.Parts[part].MaxCelsius)];
        LinearReading[] readings = [.. _heated.Take(MostReadings).Select(_trial.HottestOf)];
        _readings = [.. readings.Zip(_trial.Adjoints(readings, Tolerance, cancellationToken))];
    }

    /// <summary>Parts that make heat, hottest first.</summary>
    public IReadOnlyList<int> HeatedParts => _heated;

    /// <summary>What the watts of one part add to the temperature of another of the hottest parts, K; on the coarse grid.</summary>
    /// <param name="rank">Of the heated part that is warmed: 0 to <see cref="ReadingCount"/> - 1.</param>
    /// <param name="by">Index of the part that warms.</param>
    public double Warming(int rank, int by) => _trial.RiseFrom(_readings[rank].Adjoint, by);

    /// <summary>Hottest parts with a reading.</summary>
    public int ReadingCount => _readings.Length;

    /// <summary>Whether a trial is a check already.</summary>
    public bool TrialsAreChecks => ReferenceEquals(_answer, _trial);

    /// <summary>K by first order, for ranking.</summary>
    public double FirstOrder(BoardEdit edit)
    {
        var network = EditedNetwork.Make(_trial, edit, _cancellationToken);
        return _readings.Select(reading => network.FirstOrderGain(reading.Adjoint, reading.Reading)).DefaultIfEmpty(0).Max();
    }

    /// <summary>By a solve on the grid of trials.</summary>
    public Gain Try(BoardEdit edit) => Solve(_trial, _trialCelsius, edit, TrialsAreChecks).Gain;

    /// <summary>By a solve on the grid of the answer.</summary>
    public (Gain Gain, double AddedCopper) Check(BoardEdit edit) => Solve(_answer, _answerCelsius, edit, isCheck: true);

    private (Gain Gain, double AddedCopper) Solve(SolvedNetwork before, double[] celsius, BoardEdit edit, bool isCheck)
    {
        _cancellationToken.ThrowIfCancellationRequested();
        var network = EditedNetwork.Make(before, edit, _cancellationToken);
        using var solved = network.Solve(_capacity, _cancellationToken);
        var best = new Gain(-1, double.NegativeInfinity, isCheck);
        for (int i = 0; i < _heated.Length; i++)
        {
            double kelvin = celsius[i] - solved.ReadPart(_heated[i]).MaxCelsius;
            if (kelvin > best.Kelvin) best = best with { Part = _heated[i], Kelvin = kelvin };
        }
        return (best, network.AddedCopper);
    }
}
