using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <summary>
/// Most watts or amperes that keep every limit, at each ambient temperature: exact from the linear response where the board is linear, else by solves between brackets, each from the last.
/// </summary>
public sealed class DeratingStudy
{
    private readonly StudyCases _cases;
    private readonly StudySolver _solver;
    private readonly IReadOnlyList<double> _ambients;
    private readonly StudyAxis[][] _axes;
    private readonly IReadOnlyList<StudyLimit> _limits;
    private readonly CancellationToken _cancellationToken;

    public DeratingStudy(StudyCases cases, StudySolver solver, IReadOnlyList<DeratingQuantity> quantities, IReadOnlyList<double> ambients, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(cases);
        ArgumentNullException.ThrowIfNull(quantities);
        (_cases, _solver, _ambients, _cancellationToken) = (cases, solver, ambients, cancellationToken);
        var ambient = Axis(new PlacesTarget("ambient", "°C", false, ["/conditions/ambientCelsius"], null));
        _axes = [.. quantities.Select(quantity => (StudyAxis[])[ambient, Axis(Target(cases, quantity))])];
        Bases = [.. _axes.Select(axes => axes[1].Target.Base(cases.Root) ?? 1)];
        Labels = [.. _axes.Select(axes => axes[1].Label)];
        Units = [.. _axes.Select(axes => axes[1].Unit)];
        IsExact = [.. quantities.Select(quantity => quantity.Kind != DeratingKind.OutputAmps && ThermalSolve.IsLinear(cases.Base.Board, cases.Base.Conditions))];
        _limits = StudyLimit.Of(cases.Base);
    }

    /// <summary>What the base has, one a quantity.</summary>
    public IReadOnlyList<double> Bases { get; }

    /// <summary>For people, one a quantity.</summary>
    public IReadOnlyList<string> Labels { get; }

    /// <summary>One a quantity.</summary>
    public IReadOnlyList<string> Units { get; }

    /// <summary>From the linear response, one a quantity; else searched.</summary>
    public IReadOnlyList<bool> IsExact { get; }

    /// <param name="done">Points that are known already, by curve and ambient.</param>
    /// <param name="found">Told of each other point as soon as it is known.</param>
    /// <exception cref="ThermalSolveException">A case has no field, and that not because heat runs away.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public void Run(IReadOnlySet<(int Curve, int Ambient)> done, Action<DeratingPoint> found)
    {
        ArgumentNullException.ThrowIfNull(done);
        ArgumentNullException.ThrowIfNull(found);
        for (int curve = 0; curve < _axes.Length; curve++)
        {
            int[] left = [.. Enumerable.Range(0, _ambients.Count).Where(ambient => !done.Contains((curve, ambient)))];
            if (left.Length == 0) continue;
            if (IsExact[curve]) RunExact(curve, left, found);
            else RunSearched(curve, left, found);
        }
    }

    /// <summary>A thermal limit's curve reaches zero where the limit is met with none: between the last ambient that allows something and the first that does not.</summary>
    /// <param name="points">Of one curve, by ambient.</param>
    /// <returns>Null where that is not between two of the ambients.</returns>
    public double? NothingAbove(IReadOnlyList<DeratingPoint> points)
    {
        ArgumentNullException.ThrowIfNull(points);
        var byAmbient = points.OrderBy(point => _ambients[point.Ambient]).ToList();
        int first = byAmbient.FindIndex(point => point.Outcome == Allowance.Nothing);
        if (first <= 0) return null;
        int curve = points[0].Curve;
        double low = _ambients[byAmbient[first - 1].Ambient], high = _ambients[byAmbient[first].Ambient];
        double Excess(double ambient) => ExcessAt(curve, ambient, 0).Max();
        return BracketedSearch.Root(Excess, low, Excess(low), high, Excess(high), kelvin: 1e-3, width: 1e-6).Low;
    }

    private void RunExact(int curve, int[] ambients, Action<DeratingPoint> found)
    {
        var board = _solver.Base.Board;
        double[] Source(double ambient, double value) => StudySolver.Source(board, _cases.At(_axes[curve], [ambient, value]).Conditions);
        double[] unit = [.. Source(_ambients[0], 1).Zip(Source(_ambients[0], 0), (one, none) => one - none)];
        double[][] rest = [.. ambients.Select(ambient => Source(_ambients[ambient], 0))];
        var response = new LinearResponse(_solver, _solver.Base, [unit, .. rest]);
        for (int i = 0; i < ambients.Length; i++)
        {
            _cancellationToken.ThrowIfCancellationRequested();
            var exact = new LinearAllowance(response.Reader, response.Coefficients(rest[i]), response.Coefficients(unit), _ambients[ambients[i]]);
            found(new(curve, ambients[i], [.. _limits.Select(exact.Of)], null));
        }
    }

    private void RunSearched(int curve, int[] ambients, Action<DeratingPoint> found)
    {
        double guess = Math.Max(Bases[curve], 1e-3);
        foreach (int ambient in ambients)
        {
            var search = new AllowanceSearch(value => ExcessAt(curve, _ambients[ambient], value), _limits, guess);
            var (limits, runaway) = search.Run();
            var point = new DeratingPoint(curve, ambient, limits, runaway);
            guess = point.Allowed is > 0 and { } allowed ? allowed : guess;
            found(point);
        }
    }

    /// <summary>K above each limit; positive infinity where heat runs away.</summary>
    private double[] ExcessAt(int curve, double ambient, double value)
    {
        var studied = _cases.At(_axes[curve], [ambient, value]);
        try
        {
            var read = StudyReader.Of(_solver.Solve(studied)).Read(0, [1], studied.Conditions, isSuperposed: false);
            return [.. _limits.Select(limit => (limit.Part < 0 ? read.PeakCelsius : read.PartCelsius[limit.Part]) - limit.Celsius)];
        }
        catch (ThermalSolveException fault) when (fault.IsRunaway)
        {
            return [.. _limits.Select(_ => double.PositiveInfinity)];
        }
    }

    private static StudyAxis Axis(AxisTarget target) => new(target, false, [], null, null);

    private static AxisTarget Target(StudyCases cases, DeratingQuantity quantity) => quantity.Kind switch
    {
        DeratingKind.Watts => new WattsTarget(cases.Base.Board.Parts[quantity.Part].Id, cases.Base.Board.Parts[quantity.Part].Watts),
        DeratingKind.OutputAmps => new PlacesTarget("load of the converter", "A", false, ["/conditions/converter/outputAmps"], null),
        _ => new AllWattsTarget(cases.Base.Board.Parts.Select((part, index) => (part.Id, Watts: cases.Base.Conditions.Watts.TryGetValue(index, out double given) ? given : part.Watts))
            .Where((_, index) => cases.Base.Conditions.Converter is not { } converter || (index != converter.Part && index != converter.Inductor)).ToDictionary(each => each.Id, each => each.Watts)),
    };
}
