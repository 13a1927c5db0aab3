using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight;

/// <summary>Whatever is suggested on random boards keeps the rules of the nets.</summary>
public class EditRulesTests(ITestOutputHelper output)
{
    private const double Point = 0.1e-3;

    [Fact]
    public void NoEditJoinsNetsOrGrowsAFixedArea()
    {
        var kinds = new List<EditKind>();
        var surroundings = RandomBoards.Surroundings(film: 12) with { Watts = new Dictionary<int, double> { [1] = 1.5 } };
        for (int seed = 2001; seed <= 2003; seed++)
        {
            var random = new RandomBoards(seed);
            var (sound, source) = random.Next();
            // a cut to close, and an inductor on little copper, which must not meet the ground, nor the input
            double angle = random.Between(0, Math.PI), x = 9e-3 * Math.Cos(angle), y = 9e-3 * Math.Sin(angle), off = random.Between(5e-3, 7e-3);
            var middle = new Point(source.X - off * Math.Sin(angle), source.Y + off * Math.Cos(angle));
            var cut = new CopperFeature { Layer = 0, Net = RandomBoards.Planted, Track = new([new(middle.X - x, middle.Y - y), new(middle.X + x, middle.Y + y)], 0.2e-3), Clearance = 0.2e-3 };
            var board = sound.With([cut], []);
            board = board with { Nets = [.. board.Nets.Select((net, index) => index == RandomBoards.Output ? net with { KeepApartFrom = [RandomBoards.Ground, RandomBoards.Input] } : net)] };
            foreach (var edit in Drafts(board, surroundings).Where(draft => !draft.IsForbidden).SelectMany(draft => draft.Edits))
            {
                output.WriteLine($"board {seed}: {edit.Text}");
                foreach (int layer in edit.Edit.Layers) Check(board, edit, layer);
                kinds.Add(edit.Kind);
            }
        }
        Assert.Equal(3, kinds.Distinct().Count());
        Assert.True(kinds.Count >= 10, $"{kinds.Count} edits are too few to say anything");
    }

    /// <summary>Everything that could be suggested, whatever it gains.</summary>
    private static List<Draft> Drafts(Board board, Conditions conditions)
    {
        var token = TestContext.Current.CancellationToken;
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, 0.5e-3), token);
        using var solved = ThermalSolve.Run(board, conditions, raster, threads: 2, progress: null, token);
        var solution = new GridSolution(0.5e-3, raster, solved.Read(), solved, 0, 0);
        var errors = new GridErrors(0, [.. board.Parts.Select(_ => 0.0)], [], 0);
        var options = new ParallelOptions { CancellationToken = token };
        return [.. CutDrafts.Find(board, solution, solution, errors, options), .. TerminalDrafts.Find(board, conditions, solution, errors, options), .. ViaDrafts.Find(board, conditions, solution, errors, token)];
    }

    /// <summary>New copper is of the edit's net, touches that of no other, and no net of fixed area has more than before.</summary>
    private static void Check(Board board, EditDraft edit, int layer)
    {
        var token = TestContext.Current.CancellationToken;
        var points = BoardGrid.Over(board.Outline.Bounds, Point);
        int[] before = CopperOwners.At(board, layer, points, token), after = CopperOwners.At(edit.Edit.Apply(board), layer, points, token);
        for (int i = 0; i < after.Length; i++)
        {
            if (after[i] == before[i] || after[i] == CopperOwners.NoCopper) continue;
            Assert.Equal(edit.Net, after[i]);
            Assert.False(board.Nets[after[i]].FixedArea);
            int column = i % points.Columns, row = i / points.Columns;
            for (int y = Math.Max(0, row - 1); y <= Math.Min(points.Rows - 1, row + 1); y++)
            {
                for (int x = Math.Max(0, column - 1); x <= Math.Min(points.Columns - 1, column + 1); x++)
                {
                    int beside = after[y * points.Columns + x];
                    Assert.True(beside == CopperOwners.NoCopper || beside == edit.Net, $"copper of {edit.Net} meets that of {beside} on layer {layer} at {points.Centre(x, y)}");
                }
            }
        }
    }
}
