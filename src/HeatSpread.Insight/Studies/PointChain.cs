namespace HeatSpread.Insight.Studies;

/// <summary>An order of a plan's points in which each is near the one before it, so that a solve that starts from the last field starts near.</summary>
internal static class PointChain
{
    /// <summary>Points beyond which the order is left as it is: looking for the nearest takes the square of their number.</summary>
    private const int MostChained = 20_000;

    public static int[] Of(StudyPlan plan)
    {
        int[] order = [.. Enumerable.Range(0, plan.Points.Count)];
        if (order.Length > MostChained || order.Length < 3) return order;
        double[][] scaled = Scaled(plan);
        for (int at = 0; at + 1 < order.Length; at++)
        {
            int nearest = at + 1;
            double least = double.PositiveInfinity;
            for (int next = at + 1; next < order.Length; next++)
            {
                double distance = Distance(scaled[order[at]], scaled[order[next]]);
                if (distance < least) (least, nearest) = (distance, next);
            }
            (order[at + 1], order[nearest]) = (order[nearest], order[at + 1]);
        }
        return order;
    }

    /// <summary>Axes on one scale. Those that change the layout count for more, so that a board is left when all of it is done.</summary>
    private static double[][] Scaled(StudyPlan plan)
    {
        const double layoutWeight = 1000;
        var (least, width) = (new double[plan.Axes.Count], new double[plan.Axes.Count]);
        for (int axis = 0; axis < width.Length; axis++)
        {
            double[] values = [.. plan.Points.Select(point => point[axis])];
            (least[axis], width[axis]) = (values.Min(), values.Max() - values.Min());
        }
        return [.. plan.Points.Select(point => point.Select((value, axis) => width[axis] > 0 ? (value - least[axis]) / width[axis] * (plan.Axes[axis].ChangesLayout ? layoutWeight : 1) : 0).ToArray())];
    }

    private static double Distance(double[] first, double[] second)
    {
        double sum = 0;
        for (int axis = 0; axis < first.Length; axis++) sum += (first[axis] - second[axis]) * (first[axis] - second[axis]);
        return sum;
    }
}
