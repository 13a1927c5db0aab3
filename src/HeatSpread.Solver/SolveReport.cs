namespace HeatSpread.Solver;

/// <summary>How a solve ended.</summary>
public enum SolveStatus
{
    /// <summary>The true residual met the tolerance.</summary>
    Converged,

    /// <summary>The residual stopped falling above the tolerance.</summary>
    Stagnated,

    /// <summary>The allowed number of iterations was used up.</summary>
    IterationLimit,

    /// <summary>The token asked for it. The temperatures are of no use.</summary>
    Cancelled,

    /// <summary>A part of the network has heat but no way to the sink; no temperature exists.</summary>
    Unbounded,

    /// <summary>The system is not symmetric positive definite, or holds a number that is not finite, or heat whose square is not.</summary>
    BadSystem,
}

/// <summary>What is known of a solve when it ends.</summary>
public sealed record SolveReport
{
    public required SolveStatus Status { get; init; }

    /// <summary>Conjugate gradient iterations.</summary>
    public required int Iterations { get; init; }

    /// <summary>2-norm of the true residual, recomputed in double, over that of the heat (see <see cref="SolveSettings.HeatMade"/>). Of a cancelled solve the last one known, or NaN.</summary>
    public required double RelativeResidual { get; init; }

    /// <summary>Sum of the heat given, W. NaN where the solve was cancelled.</summary>
    public required double HeatIn { get; init; }

    /// <summary>Sum over unknowns of conductance to the sink times temperature, W. NaN where the solve was cancelled.</summary>
    public required double HeatOut { get; init; }

    /// <summary>Where <see cref="Status"/> is <see cref="SolveStatus.Unbounded"/>: one unknown of each piece with no way out; else empty.</summary>
    public IReadOnlyList<int> Islands { get; init; } = [];
}

/// <param name="Tolerance">Relative true residual to reach; 1e-12 to 0.1.</param>
/// <param name="MaximumIterations">At least 1.</param>
public sealed record SolveSettings(double Tolerance = 1e-9, int MaximumIterations = 1000)
{
    /// <summary>
    /// W, 2-norm of the heat that is made in the network, at least 0, where the rest is what the sink brings in as it is warmer at some links than at others. The residual is then compared with the greater one of this
    /// and of what passes: the heat less what goes to the sink, unknown by unknown. Null: all heat is made in the network.
    /// </summary>
    public double? HeatMade { get; init; }
}
