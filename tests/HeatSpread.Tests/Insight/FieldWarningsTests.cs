using HeatSpread.Boards;
using HeatSpread.Insight;
using Xunit;

namespace HeatSpread.Tests.Insight;

public sealed class FieldWarningsTests
{
    private static readonly Board Board = SampleBoards.TwoLayers(10e-3, 10e-3);

    [Fact]
    public void A_field_within_all_ranges_has_none() => Assert.Empty(Warnings(Board, (_, _, _) => 120));

    /// <summary>The right fifth of the upper layer is above 217 °C, by a formula.</summary>
    [Fact]
    public void Melting_solder_is_told_with_place_and_share()
    {
        string text = Assert.Single(Warnings(Board, (layer, x, _) => layer == 0 && x > 8e-3 ? 230 + 1000 * x : 120));

        Assert.Contains("L1 reaches 240 °C at (9.8, ", text, StringComparison.Ordinal);
        Assert.Contains("20 % of the board are above 217 °C", text, StringComparison.Ordinal);
        Assert.DoesNotContain("chars", text, StringComparison.Ordinal);
        Assert.Contains("laminate chars from about 310 °C", Assert.Single(Warnings(Board, (_, _, _) => 500)), StringComparison.Ordinal);
    }

    [Fact]
    public void A_material_beyond_its_data_is_told_once_with_the_row_that_is_so_most()
    {
        var range = new TemperatureRange("core-x", -20, 130, "the end of its `table` was used");
        var board = Board with { Rows = [.. Board.Rows.Select(row => row with { FillRange = row.Kind == StackRowKind.Mask ? null : range })] };

        string hot = Assert.Single(Warnings(board, (layer, _, y) => layer == 1 && y > 9e-3 ? 151 : 140));
        Assert.Contains("L2 reaches 151 °C at (", hot, StringComparison.Ordinal);
        Assert.Contains("`core-x` ends at 130 °C, and beyond it the end of its `table` was used", hot, StringComparison.Ordinal);
        Assert.Contains("falls to -40 °C", Assert.Single(Warnings(board, (_, _, _) => -40)), StringComparison.Ordinal);
    }

    [Fact]
    public void Nodes_hotter_than_silicon_is_rated_for_are_told()
    {
        var part = new PartSummary("U1", 1, 231, null, new Dictionary<string, double> { ["junction"] = 231 }, []);
        Assert.Contains("U1 231 °C", Assert.Single(Warnings(Board, (_, _, _) => 120, part)), StringComparison.Ordinal);
        Assert.Empty(Warnings(Board, (_, _, _) => 120, part with { MaxCelsius = 190 }));
    }

    private static IReadOnlyList<string> Warnings(Board board, Func<int, double, double, double> celsius, params PartSummary[] parts)
    {
        var solution = SampleBoards.Solved(board, 0.5e-3, celsius);
        return FieldWarnings.Of(board, solution, FieldReadings.Peak(board, solution), parts);
    }
}
