using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Insight.Comparison;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering.Reports;

/// <summary>A solved board and all that a report says of it. Lengths in metres, temperatures in °C.</summary>
public sealed record ReportSubject
{
    public required Board Board { get; init; }

    public required Conditions Conditions { get; init; }

    /// <summary>The copper in the field's cells.</summary>
    public required CopperRaster Raster { get; init; }

    public required BoardSolution Solution { get; init; }

    /// <summary>Null where the conditions have no converter.</summary>
    public ConverterReading? Converter { get; init; }

    /// <summary>One a stack row: the name of its material (in a copper row of the stuff between the copper), or null where the layout gives numbers.</summary>
    public required IReadOnlyList<string?> RowMaterials { get; init; }

    /// <summary>What was guessed, skipped or repaired when fabrication files were read; empty for a layout that was posted as JSON.</summary>
    public IReadOnlyList<string> ImportWarnings { get; init; } = [];

    /// <summary>Digest of layout, conditions and grid.</summary>
    public required string SolutionId { get; init; }

    /// <summary>Digest of the layout.</summary>
    public required string LayoutId { get; init; }

    /// <summary>When it was solved.</summary>
    public required DateTimeOffset Solved { get; init; }

    /// <summary>Null: the report compares with nothing.</summary>
    public ReportComparison? Comparison { get; init; }
}

/// <summary>The same board in another revision, and what the change did.</summary>
public sealed record ReportComparison
{
    /// <summary>Digest of the comparison.</summary>
    public required string Id { get; init; }

    /// <summary>Digest of the baseline's solution.</summary>
    public required string BaselineId { get; init; }

    public required Board Baseline { get; init; }

    public required BoardComparison Comparison { get; init; }

    /// <summary>The larger of both estimates.</summary>
    public required double GridErrorKelvin { get; init; }

    /// <summary>Of the common grid of both.</summary>
    public required BoardGrid Grid { get; init; }

    /// <summary>One or both were solved again on the common grid, so that figures may differ a little from those of the solution.</summary>
    public required bool SolvedAgain { get; init; }

    /// <summary>Largest difference on any map: the common end of their scales.</summary>
    public required double ScaleKelvin { get; init; }

    /// <summary>Candidate less baseline by index of the candidate's layers, K, NaN where one of them has no board.</summary>
    public required IReadOnlyList<(int Layer, float[] Kelvin)> Maps { get; init; }
}
