using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight;

/// <summary>How often cuts are found that are there, and cuts that are not.</summary>
public class PlaneCutStatisticsTests(ITestOutputHelper output)
{
    /// <summary>Other boards than those that were seen while thresholds were chosen: <c>HEATSPREAD_SEEDS=3000</c> begins there.</summary>
    private static readonly int firstSeed = int.TryParse(Environment.GetEnvironmentVariable("HEATSPREAD_SEEDS"), out int first) ? first : 0;

    private const int Boards = 50;
    private const double Pitch = 0.5e-3;

    [Fact]
    public void SoundBoardsHaveNoCut()
    {
        int falseAlarms = 0;
        for (int seed = firstSeed + 1; seed <= firstSeed + Boards; seed++)
        {
            var (board, _) = new RandomBoards(seed).Next();
            var (cuts, error) = Cuts(board);
            if (cuts.Count > 0) falseAlarms++;
            foreach (var cut in cuts) output.WriteLine($"board {seed}, grid error {error:F1} K: {Described(cut)}");
        }
        output.WriteLine($"{falseAlarms} of {Boards} sound boards got a cut that is not there");
        Assert.True(falseAlarms < Boards / 20.0);
    }

    [Fact]
    public void PlantedCutsAreFound()
    {
        int found = 0, twice = 0;
        var jumps = new List<double>();
        for (int seed = firstSeed + 1001; seed <= firstSeed + 1000 + Boards; seed++)
        {
            var (board, planted, jump) = Planted(new RandomBoards(seed));
            jumps.Add(jump);
            var (all, error) = Cuts(board);
            var cuts = all.Where(cut => cut.Layer == planted.Layer && cut.CutBy == (planted.IsClear ? -1 : planted.Net) && cut.Net == RandomBoards.Ground).ToList();
            int near = cuts.Count(cut => Off(cut.Path, planted.Track!.Path) <= 1e-3);
            if (near > 0) found++;
            if (near > 1) twice++;
            if (near != 1) output.WriteLine($"board {seed}: jump {jump:F1} K, grid error {error:F1} K, found {near} times; planted {string.Join(' ', planted.Track!.Path.Select(p => $"({p.X * 1e3:F1}, {p.Y * 1e3:F1})"))}; {string.Join("; ", all.Select(Described))}");
        }
        output.WriteLine($"{found} of {Boards} planted cuts found within 1 mm, {twice} of them in more than one piece; their jumps {jumps.Min():F1} to {jumps.Max():F1} K");
        Assert.True(found >= 48);
    }

    /// <summary>A cut of 0.1 to 0.5 mm anywhere in a ground pour, at any angle, drawn anew until the jump across its middle is more than 3 K.</summary>
    private static (Board Board, CopperFeature Planted, double Jump) Planted(RandomBoards random)
    {
        while (true)
        {
            var (sound, source) = random.Next();
            for (int attempt = 0; attempt < 12; attempt++)
            {
                double far = random.Between(4e-3, 14e-3), bearing = random.Between(0, 2 * Math.PI), angle = random.Between(0, Math.PI), half = random.Between(3e-3, 12e-3);
                double width = random.Between(0.1e-3, 0.5e-3);
                var middle = new Point(source.X + far * Math.Cos(bearing), source.Y + far * Math.Sin(bearing));
                Point At(double along, double across) => new(middle.X + along * Math.Cos(angle) - across * Math.Sin(angle), middle.Y + along * Math.Sin(angle) + across * Math.Cos(angle));
                bool isSlit = random.Between(0, 1) < 0.5;
                var planted = new CopperFeature
                {
                    Layer = 0,
                    Net = isSlit ? -1 : RandomBoards.Planted,
                    IsClear = isSlit,
                    Track = new([At(-half, 0), At(half, 0)], isSlit ? width : 0.4 * width),
                    Clearance = isSlit ? 0 : 0.3 * width,
                };
                var board = sound.With([planted], []);
                var (field, owners) = (Solve(board).Field, new Func<Point, int>(at => OwnerAt(sound, at)));
                // between ground and ground, away from pads
                Point[] sides = [At(0, 0.8e-3), At(0, -0.8e-3)];
                if (sides.Any(side => owners(side) != RandomBoards.Ground) || owners(middle) != RandomBoards.Ground) continue;
                double jump = Math.Abs(FieldSample.At(field.Grid, field.RowCelsius[1], sides[0]) - FieldSample.At(field.Grid, field.RowCelsius[1], sides[1]));
                if (jump > 3) return (board, planted, jump);
            }
        }
    }

    private static int OwnerAt(Board board, Point at)
    {
        var box = board.Outline.Bounds;
        if (at.X < box.MinX || at.Y < box.MinY || at.X > box.MaxX || at.Y > box.MaxY) return CopperOwners.NoCopper;
        var point = new BoardGrid { Columns = 1, Rows = 1, Origin = new(at.X - 1e-6, at.Y - 1e-6), PitchX = 2e-6, PitchY = 2e-6 };
        return CopperOwners.At(board, 0, point, TestContext.Current.CancellationToken)[0];
    }

    private static (IReadOnlyList<Finding> Cuts, double GridError) Cuts(Board board)
    {
        var solution = BoardAnalysis.Analyse(board, RandomBoards.Surroundings(film: 12), new(Pitch, null), checkedEdits: 0, new SolveCapacity(2), progress: null, TestContext.Current.CancellationToken);
        return ([.. solution.Findings.Where(finding => finding.Kind == FindingKind.PlaneCut)], solution.Accuracy.GridErrorKelvin);
    }

    private static GridSolution Solve(Board board)
    {
        var token = TestContext.Current.CancellationToken;
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, Pitch), token);
        var solved = ThermalSolve.Run(board, RandomBoards.Surroundings(film: 12), raster, threads: 2, progress: null, token);
        return new(Pitch, raster, solved.Read(), solved, 0, 0);
    }

    /// <summary>Farthest that a line runs from a straight one, m.</summary>
    private static double Off(IReadOnlyList<Point> path, IReadOnlyList<Point> straight) => path.Max(p =>
    {
        var (a, b) = (straight[0], straight[1]);
        double dx = b.X - a.X, dy = b.Y - a.Y, t = Math.Clamp(((p.X - a.X) * dx + (p.Y - a.Y) * dy) / (dx * dx + dy * dy), 0, 1);
        return double.Hypot(p.X - a.X - t * dx, p.Y - a.Y - t * dy);
    });

    private static string Described(Finding cut) => $"{cut.Text} {string.Join(' ', cut.Path.Select(p => $"({p.X * 1e3:F1}, {p.Y * 1e3:F1})"))} gain {cut.GainKelvin:F2} K";
}
