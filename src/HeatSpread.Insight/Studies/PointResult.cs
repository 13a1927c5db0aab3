using HeatSpread.Boards;

namespace HeatSpread.Insight.Studies;

/// <summary>What came out at one point of a study.</summary>
public sealed record PointResult
{
    public required int Index { get; init; }

    /// <summary>Of the hottest cell of all rows of the stack.</summary>
    public double PeakCelsius { get; init; }

    /// <summary>Name of its row.</summary>
    public string PeakRow { get; init; } = "";

    /// <summary>Its centre, m.</summary>
    public Point PeakAt { get; init; }

    /// <summary>Hottest of each part.</summary>
    public IReadOnlyList<double> PartCelsius { get; init; } = [];

    public IReadOnlyList<double> ProbeCelsius { get; init; } = [];

    /// <summary>No limit is exceeded.</summary>
    public bool Pass { get; init; }

    /// <summary>A sum of unit responses, else a solve of its own.</summary>
    public bool IsSuperposed { get; init; }

    /// <summary>Why there is no temperature: a <see cref="StudyCaseException"/> or a <see cref="Thermal.ThermalSolveException"/>; null: there is.</summary>
    public Exception? Problem { get; init; }
}
