namespace HeatSpread.Insight.Studies;

public enum DeratingKind
{
    /// <summary>Watts of one part, the others as in the base.</summary>
    Watts,

    /// <summary>Output current of the converter, A.</summary>
    OutputAmps,

    /// <summary>A factor on the watts of all parts.</summary>
    AllWatts,
}

/// <summary>What is derated.</summary>
/// <param name="Kind">Of the quantity.</param>
/// <param name="Part">Index, of <see cref="DeratingKind.Watts"/>; else -1.</param>
public sealed record DeratingQuantity(DeratingKind Kind, int Part);

public enum Allowance
{
    /// <summary>A limit is met at the value allowed.</summary>
    Limited,

    /// <summary>A limit is exceeded with none at all.</summary>
    Nothing,

    /// <summary>No limit depends on it.</summary>
    Unlimited,
}

/// <summary>A limit of a part or of the board.</summary>
/// <param name="Name">Id of the part, or <c>board</c>.</param>
/// <param name="Part">Index; -1 for the board.</param>
/// <param name="Celsius">The limit.</param>
public sealed record StudyLimit(string Name, int Part, double Celsius)
{
    /// <summary>Every limit of a case: parts in the board's order, then the board.</summary>
    public static IReadOnlyList<StudyLimit> Of(StudyCase studied)
    {
        ArgumentNullException.ThrowIfNull(studied);
        var parts = studied.Board.Parts.Select((part, index) => part.LimitCelsius is { } celsius ? new StudyLimit(part.Id, index, celsius) : null).OfType<StudyLimit>();
        return studied.Conditions.BoardLimitCelsius is { } board ? [.. parts, new("board", -1, board)] : [.. parts];
    }
}

/// <param name="Limit">Which.</param>
/// <param name="Outcome">What it allows.</param>
/// <param name="Allowed">Most that keeps it; null where it allows nothing, or everything.</param>
public sealed record LimitAllowance(StudyLimit Limit, Allowance Outcome, double? Allowed);

/// <param name="Curve">Index of the quantity.</param>
/// <param name="Ambient">Index of the ambient temperature.</param>
/// <param name="Limits">Each by itself.</param>
/// <param name="RunawayAbove">Heat runs away above this value, which limits too; null where it was not met.</param>
public sealed record DeratingPoint(int Curve, int Ambient, IReadOnlyList<LimitAllowance> Limits, double? RunawayAbove)
{
    /// <summary>What all limits together allow.</summary>
    public Allowance Outcome => Limits.Any(each => each.Outcome == Allowance.Nothing) ? Allowance.Nothing : Allowed is null ? Allowance.Unlimited : Allowance.Limited;

    /// <summary>The least that any limit allows; null where nothing is allowed, or everything.</summary>
    public double? Allowed
    {
        get
        {
            if (Limits.Any(each => each.Outcome == Allowance.Nothing)) return null;
            double least = Limits.Select(each => each.Allowed).Append(RunawayAbove).Min() ?? double.PositiveInfinity;
            return double.IsFinite(least) ? least : null;
        }
    }

    /// <summary>The limit met first; null where nothing limits.</summary>
    public string? LimitedBy
    {
        get
        {
            if (Limits.FirstOrDefault(each => each.Outcome == Allowance.Nothing) is { } exceeded) return exceeded.Limit.Name;
            if (Allowed is not { } allowed) return null;
            return Limits.FirstOrDefault(each => each.Allowed == allowed)?.Limit.Name ?? "thermal runaway";
        }
    }
}
