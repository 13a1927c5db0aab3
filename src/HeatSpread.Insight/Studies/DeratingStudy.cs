using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <param name="Label">For people.</param>
/// <param name="Unit">For people.</param>
/// <param name="Base">What the base has.</param>
/// <param name="IsExact">From the linear response; else searched.</param>
public sealed record DeratingCurve(string Label, string Unit, double Base, bool IsExact)
{
    public static DeratingCurve Of(StudyCases cases, DeratingQuantity quantity)
    {
        ArgumentNullException.ThrowIfNull(cases);
        ArgumentNullException.ThrowIfNull(quantity);
        var target = DeratingStudy.Target(cases, quantity);
        return new(target.Label, target.Unit, target.Base(cases.Root) ?? 1, quantity.Kind != DeratingKind.OutputAmps && ThermalSolve.IsLinear(cases.Base.Board, cases.Base.Conditions));
    }
}

/// <summary>
/// Most watts or amperes that keep every limit, at each ambient temperature: exact from the linear response where the board is linear, else by solves between brackets, each from
/// the last.
/// </summary>
public sealed class DeratingStudy
{
    private readonly StudyCases _cases;
    private readonly StudySolver _solver;
    private readonly IReadOnlyList<double> _ambients;
    private readonly StudyAxis[][] _axes;
    private readonly IReadOnlyList<StudyLimit> _limits;
    private readonly Lazy<LinearResponse> _response;
    private readonly CancellationToken _cancellationToken;

    public DeratingStudy(StudyCases cases, StudySolver solver, IReadOnlyList<DeratingQuantity> quantities, IReadOnlyList<double> ambients, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(cases);
        ArgumentNullException.ThrowIfNull(quantities);
        (_cases, _solver, _ambients, _cancellationToken) = (cases, solver, ambients, cancellationToken);
        var ambient = Axis(new PlacesTarget("ambient", "°C", false, ["/conditions/ambientCelsius"], null));
        _axes = [.. quantities.Select(quantity => (StudyAxis[])[ambient, Axis(Target(cases, quantity))])];
        Curves = [.. quantities.Select(quantity => DeratingCurve.Of(cases, quantity))];
        _limits = StudyLimit.Of(cases.Base);
        _response = new(Respond);
    }

    /// <summary>One a quantity.</summary>
    public IReadOnlyList<DeratingCurve> Curves { get; }

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
            if (Curves[curve].IsExact) RunExact(curve, left, found);
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
        double Excess(double ambient) => (Curves[curve].IsExact ? ExactExcess(curve, ambient) : ExcessAt(curve, ambient, 0)).Max();
        return BracketedSearch.Root(Excess, low, Excess(low), high, Excess(high), kelvin: 1e-3, width: 1e-6).Low;
    }

    private void RunExact(int curve, int[] ambients, Action<DeratingPoint> found)
    {
        foreach (int ambient in ambients)
        {
            _cancellationToken.ThrowIfCancellationRequested();
            found(new(curve, ambient, [.. _limits.Select(Exact(curve, _ambients[ambient]).Of)], null));
        }
    }

    /// <summary>The fields of all exact curves together: with none of the quantity at two ambients, between and beyond which all is a straight line, and with one more of each
    /// quantity.</summary>
    private LinearResponse Respond()
    {
        double[] ends = [_ambients[0], _ambients[^1] + 1];
        int[] exact = [.. Enumerable.Range(0, Curves.Count).Where(curve => Curves[curve].IsExact)];
        return new(_solver, _solver.Base, [.. exact.Select(Unit), .. exact.SelectMany(curve => ends.Select(ambient => Source(curve, ambient, 0)))]);
    }

    private LinearAllowance Exact(int curve, double ambient) => new(_response.Value.Reader, _response.Value.Coefficients(Source(curve, ambient, 0)), _response.Value.Coefficients(Unit(curve)), ambient);

    private double[] Source(int curve, double ambient, double value) => StudySolver.Source(_solver.Base.Board, _cases.At(_axes[curve], [ambient, value]).Conditions);

    /// <summary>Heats that one of the quantity adds.</summary>
    private double[] Unit(int curve) => [.. Source(curve, _ambients[0], 1).Zip(Source(curve, _ambients[0], 0), (one, none) => one - none)];

    /// <summary>K above each limit with none of the quantity.</summary>
    private double[] ExactExcess(int curve, double ambient) => [.. _limits.Select(Exact(curve, ambient).ExcessAtNone)];

    private void RunSearched(int curve, int[] ambients, Action<DeratingPoint> found)
    {
        double guess = Math.Max(Curves[curve].Base, 1e-3);
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

    internal static AxisTarget Target(StudyCases cases, DeratingQuantity quantity) => quantity.Kind switch
    {
        DeratingKind.Watts => new WattsTarget(cases.Base.Board.Parts[quantity.Part].Id, cases.Base.Board.Parts[quantity.Part].Watts),
        DeratingKind.OutputAmps => new PlacesTarget("load of the converter", "A", false, ["/conditions/converter/outputAmps"], null),
        _ => new AllWattsTarget(cases.Base.Board.Parts.Select((part, index) => (part.Id, Watts: cases.Base.Conditions.Watts.TryGetValue(index, out double given) ? given : part.Watts))
            .Where((_, index) => cases.Base.Conditions.Converter is not { } converter || (index != converter.Part && index != converter.Inductor)).ToDictionary(each => each.Id, each => each.Watts)),
    };
}
