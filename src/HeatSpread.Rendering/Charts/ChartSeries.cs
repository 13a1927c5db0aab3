namespace HeatSpread.Rendering.Charts;

public enum ChartMark
{
    /// <summary>A line through the points.</summary>
    Line,

    /// <summary>A dot at each point.</summary>
    Dots,

    /// <summary>A dot at each point with a bar of its uncertainty.</summary>
    Bars,

    /// <summary>A thin line for the eye to compare with, without a name of its own among the styles.</summary>
    Guide,
}

/// <param name="Name">Written beside the line, so that no colour need be looked up.</param>
/// <param name="Points">In the order in which they are joined; what is not finite breaks the line.</param>
/// <param name="Mark">How it is drawn.</param>
public sealed record ChartSeries(string Name, IReadOnlyList<(double X, double Y)> Points, ChartMark Mark = ChartMark.Line)
{
    /// <summary>Half the length of each point's bar, in units of y; empty but for <see cref="ChartMark.Bars"/>.</summary>
    public IReadOnlyList<double> Bars { get; init; } = [];

    /// <summary>The area down to the axis is shaded: what lies inside it is allowed.</summary>
    public bool IsShaded { get; init; }
}
