namespace HeatSpread.Insight.Studies;

/// <summary>The points of a sweep or a sample. Immutable: it alone says what is to be computed, so that half a study can be taken up again.</summary>
/// <param name="Axes">What is varied.</param>
/// <param name="Points"><c>[point][axis]</c>.</param>
public sealed record StudyPlan(IReadOnlyList<StudyAxis> Axes, IReadOnlyList<double[]> Points)
{
    /// <summary>Every value of each axis with every value of the others, the last axis running fastest.</summary>
    public static StudyPlan Grid(IReadOnlyList<StudyAxis> axes)
    {
        ArgumentNullException.ThrowIfNull(axes);
        IEnumerable<double[]> points = [[]];
        foreach (var axis in axes) points = points.SelectMany(before => axis.Values.Select(value => (double[])[.. before, value]));
        return new(axes, [.. points]);
    }

    /// <summary>The first values of all axes together, then the second ones, and so on: all have as many.</summary>
    public static StudyPlan List(IReadOnlyList<StudyAxis> axes)
    {
        ArgumentNullException.ThrowIfNull(axes);
        return new(axes, [.. Enumerable.Range(0, axes[0].Values.Count).Select(index => axes.Select(axis => axis.Values[index]).ToArray())]);
    }

    /// <summary>A Latin hypercube over the axes' distributions.</summary>
    public static StudyPlan Sample(IReadOnlyList<StudyAxis> axes, int count, int seed)
    {
        ArgumentNullException.ThrowIfNull(axes);
        return new(axes, LatinHypercube.Draw([.. axes.Select(axis => axis.Distribution!)], count, seed));
    }
}
