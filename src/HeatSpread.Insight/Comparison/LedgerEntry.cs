using HeatSpread.Boards;
using HeatSpread.Thermal.Revisions;

namespace HeatSpread.Insight.Comparison;

/// <summary>One change and what it does to a part.</summary>
public sealed record LedgerEntry
{
    /// <summary>Entries that are told by name; the rest are summed.</summary>
    public const int Most = 12;

    /// <summary>Smaller ones are summed, K; and those below a hundredth of the largest.</summary>
    public const double LeastKelvin = 0.01;

    /// <summary>Null for the sum of small changes.</summary>
    public required ChangeKind? Kind { get; init; }

    public required double Kelvin { get; init; }

    /// <summary>The same as a sentence.</summary>
    public required string Text { get; init; }

    /// <summary>Copper: the layer where most of the change is. Stack: the row.</summary>
    public string? Layer { get; init; }

    public string? Net { get; init; }

    /// <summary>Where watts or the part itself changed.</summary>
    public string? Part { get; init; }

    /// <summary><c>ambient</c>, <c>top</c>, <c>bottom</c>, <c>edges</c>, <c>contacts</c> or <c>surfaces</c>.</summary>
    public string? Surface { get; init; }

    /// <summary>Copper, layer by layer, the one with most of the change first.</summary>
    public IReadOnlyList<LedgerPiece> Pieces { get; init; } = [];

    /// <summary>Centres of vias, m.</summary>
    public IReadOnlyList<Point> At { get; init; } = [];

    /// <summary>How many changes a sum holds.</summary>
    public int? Count { get; init; }

    /// <param name="id">Of the part.</param>
    /// <param name="part">Its place among the readings of the groups.</param>
    /// <param name="groups">Every change.</param>
    /// <param name="partError">Grid error of the part's temperature, K: nothing is claimed below it.</param>
    internal static IReadOnlyList<LedgerEntry> Of(string id, int part, IReadOnlyList<ChangeGroup> groups, double partError)
    {
        ChangeGroup[] sorted = [.. groups.Where(group => group.Kelvin[part] != 0).OrderByDescending(group => Math.Abs(group.Kelvin[part]))];
        if (sorted.Length == 0) return [];
        double least = Math.Max(LeastKelvin, Math.Abs(sorted[0].Kelvin[part]) / 100);
        int named = sorted.Take(Most).Count(group => group.IsSomewhere && Math.Abs(group.Kelvin[part]) >= least);
        ChangeGroup[] told = [.. sorted.Where(group => group.IsSomewhere).Take(named)], rest = [.. sorted.Except(told)];
        var entries = told.Select(group => group.Entry(id, part, partError)).ToList();
        if (rest.Length > 0)
        {
            double kelvin = rest.Sum(group => group.Kelvin[part]);
            entries.Add(new() { Kind = null, Kelvin = kelvin, Count = rest.Length, Text = LedgerWords.Rest(id, rest.Length, kelvin, partError) });
        }
        return entries;
    }
}

/// <summary>What changed on one layer.</summary>
/// <param name="Layer">Name.</param>
/// <param name="Area">Its shape to an eighth of a cell, m.</param>
/// <param name="SquareMeters">Its exact area.</param>
/// <param name="Kelvin">Its share of the entry.</param>
public sealed record LedgerPiece(string Layer, Region Area, double SquareMeters, double Kelvin);
