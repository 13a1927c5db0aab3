using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>Tries edits: by first order, on the coarse grid of trials, and on the grid of the answer. Many threads may try at once.</summary>
internal sealed class EditTrials
{
    /// <summary>Parts whose adjoints rank the edits: the hottest of those that make heat.</summary>
    private const int MostReadings = 3;

    /// <summary>Of the adjoints, which only rank and tell shares.</summary>
    private const double RoughTolerance = 1e-3;

    /// <summary>Of trials: a thousandth of a gain of kelvin, and still a tenth of the least for which a cut is one.</summary>
    private const double TrialTolerance = 1e-4;

    /// <summary>Of checks, begun from what the trial changed. Gains are told to two digits: on the demo board they are within a few thousandths of themselves of those of a solve to the end.</summary>
    private const double CheckTolerance = 5e-4;

    private readonly SolvedNetwork _answer, _trial;
    private readonly GridErrors _errors;
    private readonly SolveCapacity _capacity;

    /// <summary>Of trials: small solves are run beside each other, not on many threads each.</summary>
    private readonly SolveCapacity _ofTrials;
    private readonly CancellationToken _cancellationToken;
    private readonly int[] _heated;
    private readonly double[] _answerCelsius, _trialCelsius;
    private readonly Lazy<(LinearReading Reading, double[] Adjoint)[]> _readings;

    public EditTrials(Board board, GridSolution answer, GridSolution trial, GridErrors errors, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        _answer = answer.Solved ?? throw new ArgumentException("The network must be kept.", nameof(answer));
        _trial = trial.Solved ?? throw new ArgumentException("The network must be kept.", nameof(trial));
        (_errors, _capacity, _ofTrials, _cancellationToken) = (errors, capacity, new SolveCapacity(threadsPerSolve: 1, capacity.Cores), cancellationToken);
        _heated = [.. Enumerable.Range(0, board.Parts.Count).Where(part => answer.Field.Parts[part].Watts > 0).OrderByDescending(part => answer.Field.Parts[part].MaxCelsius)];
        _answerCelsius = [.. _heated.Select(part => answer.Field.Parts[part].MaxCelsius)];
        _trialCelsius = [.. _heated.Select(part => trial.Field.Parts[part].MaxCelsius)];
        _readings = new(() =>
        {
            LinearReading[] readings = [.. _heated.Take(MostReadings).Select(_trial.HottestOf)];
            return [.. readings.Zip(_trial.Adjoints(readings, RoughTolerance, cancellationToken))];
        });
    }

    /// <summary>Parts that make heat, hottest first.</summary>
    public IReadOnlyList<int> HeatedParts => _heated;

    /// <summary>How some of the parts heat each other; on the coarse grid.</summary>
    public InfluenceMatrix Influence(IReadOnlyList<int> parts) => InfluenceMatrix.Of(_trial, parts, RoughTolerance, _cancellationToken);

    /// <summary>K by first order, for ranking.</summary>
    public double FirstOrder(ChangedBoard change)
    {
        var network = EditedNetwork.Make(_trial, change, _cancellationToken);
        return _readings.Value.Select(reading => network.FirstOrderGain(reading.Adjoint, reading.Reading)).DefaultIfEmpty(0).Max();
    }

    /// <summary>By a solve on the grid of trials; null where the edited board has no field, as beside a runaway.</summary>
    public Trial? Try(ChangedBoard change)
    {
        try
        {
            using var solved = EditedNetwork.Make(_trial, change, _cancellationToken).Solve(TrialTolerance, guess: null, _ofTrials, _cancellationToken);
            return new(Best(_trialCelsius, solved, isCheck: false), new CoarseChange(_trial, solved));
        }
        catch (ThermalSolveException)
        {
            return null;
        }
    }

    /// <summary>By a solve on the grid of the answer; null as for a trial.</summary>
    public (Gain Gain, EditedNetwork Network)? Check(ChangedBoard change, CoarseChange guess)
    {
        try
        {
            var network = EditedNetwork.Make(_answer, change, _cancellationToken);
            using var solved = network.Solve(CheckTolerance, guess.AddTo(_answer), _capacity, _cancellationToken);
            return (Best(_answerCelsius, solved, isCheck: true), network);
        }
        catch (ThermalSolveException)
        {
            return null;
        }
    }

    /// <summary>The part that cools most, of those whose gain is above its grid error where there is one.</summary>
    private Gain Best(double[] celsius, SolvedNetwork solved, bool isCheck) => _heated
        .Select((part, i) => new Gain(part, celsius[i] - solved.ReadPart(part).MaxCelsius, isCheck))
        .MaxBy(gain => (_errors.Allow(gain), gain.Kelvin));
}
