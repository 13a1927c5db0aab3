using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <summary>
/// Computes the points of a plan. Points on one linear network are sums of a handful of fields, exactly; all others are solved, each from the nearest one before it. Nothing is
/// made linear that is not.
/// </summary>
public sealed class StudyRun(StudyCases cases, StudySolver solver, StudyPlan plan, CancellationToken cancellationToken)
{
    /// <param name="done">Points that are known already.</param>
    /// <param name="found">Told of each other point as soon as it is known, in no order.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public void Run(IReadOnlySet<int> done, Action<PointResult> found)
    {
        ArgumentNullException.ThrowIfNull(done);
        ArgumentNullException.ThrowIfNull(found);
        int[] left = [.. PointChain.Of(plan).Where(point => !done.Contains(point))];
        foreach (int[] onOneBoard in Groups(left)) RunBoard(onOneBoard, found);
    }

    /// <summary>Points of the same values on all axes that change the layout, one after the other.</summary>
    private IEnumerable<int[]> Groups(int[] points)
    {
        int[] changing = [.. Enumerable.Range(0, plan.Axes.Count).Where(axis => plan.Axes[axis].ChangesLayout)];
        return points.GroupBy(point => string.Join(' ', changing.Select(axis => BitConverter.DoubleToInt64Bits(plan.Points[point][axis])))).Select(group => group.ToArray());
    }

    private void RunBoard(int[] points, Action<PointResult> found)
    {
        var linear = new Dictionary<string, List<(int Point, StudyCase Case)>>(StringComparer.Ordinal);
        var others = new List<(int Point, StudyCase Case)>();
        foreach (int point in points)
        {
            cancellationToken.ThrowIfCancellationRequested();
            if (CaseAt(point, found) is not { } studied) continue;
            if (!ThermalSolve.IsLinear(studied.Board, studied.Conditions))
            {
                others.Add((point, studied));
                continue;
            }
            string key = StudySolver.NetworkKey(studied.Conditions);
            if (!linear.TryGetValue(key, out var group)) linear[key] = group = [];
            group.Add((point, studied));
        }
        foreach (var group in linear.Values) RunLinear(group, found);
        foreach (var (point, studied) in others) RunOne(point, studied, found);
    }

    private StudyCase? CaseAt(int point, Action<PointResult> found)
    {
        try
        {
            return cases.At(plan.Axes, plan.Points[point]);
        }
        catch (StudyCaseException fault)
        {
            found(new() { Index = point, Problem = fault });
            return null;
        }
    }

    private void RunLinear(List<(int Point, StudyCase Case)> points, Action<PointResult> found)
    {
        var (board, conditions) = points[0].Case;
        bool onBase = ReferenceEquals(board, solver.Base.Board) && ThermalSolve.IsLinear(board, solver.Base.Conditions) && StudySolver.NetworkKey(conditions) == StudySolver.NetworkKey(solver.Base.Conditions);
        if (!onBase && points.Count == 1)
        {
            RunOne(points[0].Point, points[0].Case, found);
            return;
        }
        try
        {
            var solved = onBase ? solver.Base : solver.Solve(points[0].Case);
            double[][] sources = [.. points.Select(each => StudySolver.Source(board, each.Case.Conditions))];
            var response = new LinearResponse(solver, solved, sources);
            for (int i = 0; i < points.Count; i++)
            {
                cancellationToken.ThrowIfCancellationRequested();
                found(response.Reader.Read(points[i].Point, response.Coefficients(sources[i]), points[i].Case.Conditions, isSuperposed: true));
            }
        }
        catch (ThermalSolveException fault)
        {
            foreach (var (point, _) in points) found(new() { Index = point, Problem = fault });
        }
    }

    private void RunOne(int point, StudyCase studied, Action<PointResult> found)
    {
        PointResult result;
        try
        {
            result = StudyReader.Of(solver.Solve(studied)).Read(point, [1], studied.Conditions, isSuperposed: false);
        }
        catch (ThermalSolveException fault)
        {
            result = new() { Index = point, Problem = fault };
        }
        found(result);
    }
}
