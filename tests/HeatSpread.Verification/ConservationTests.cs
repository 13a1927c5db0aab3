using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Laws that hold whatever the board: balance, linearity, reciprocity, mirror symmetry.</summary>
public class ConservationTests(CheckTable checks)
{
    private const string Balance = "conservation of energy", Linear = "linear conduction with constant films", Mirror = "mirror symmetry";
    private const string Reciprocity = "reciprocity of a symmetric network (Carslaw, Jaeger, ch. XIV, symmetry of Green's function)";
    private const double Pitch = 0.4 * Millimetre;

    [Theory]
    [InlineData(0.5)]
    [InlineData(0.25)]
    public void HeatInIsHeatOut(double pitchMillimetres)
    {
        var (board, conditions) = SmallBoards.WithEverything();
        var heat = Solve(board, conditions, pitchMillimetres * Millimetre).Heat;
        Assert.All([heat.TopWatts, heat.BottomWatts, heat.EdgesWatts, heat.ContactWatts[0], heat.PartsWatts], watts => Assert.True(watts > 0));
        double leaves = heat.TopWatts + heat.BottomWatts + heat.EdgesWatts + heat.ContactWatts.Sum() + heat.PartsWatts;
        checks.Relative($"heat in = heat out, pitch {pitchMillimetres} mm", Balance, "given off, W", heat.DissipatedWatts, leaves, 1e-6);
        checks.Relative($"heat in = heat out, pitch {pitchMillimetres} mm", Balance, "made, W", 2.1, heat.DissipatedWatts, 1e-12);
    }

    [Fact]
    public void HeatInIsHeatOutInStillAir()
    {
        var (board, films) = SmallBoards.WithEverything();
        var conditions = new Conditions
        {
            AmbientCelsius = 25,
            Top = new StillAirSurface(AirOrientation.FaceUp, 0.9, 25),
            Bottom = new MovingAirSurface(1.5, new(1, 0), 0.9, 20),
            EdgesFilm = 5,
            Contacts = films.Contacts,
            Watts = new Dictionary<int, double> { [0] = 1.9 },
        };
        var heat = Solve(board, conditions, Pitch).Heat;
        checks.Relative("heat in = heat out, still and moving air", Balance, "given off, W", heat.DissipatedWatts, heat.DissipatedWatts - heat.ImbalanceWatts, 1e-6);
        checks.Relative("heat in = heat out, still and moving air", Balance, "made, W", 2.6, heat.DissipatedWatts, 1e-12);
    }

    [Fact]
    public void DoublePowerDoublesEveryRise()
    {
        var (once, twice) = (Field([1.4, 0.5, 0.2]), Field([2.8, 1.0, 0.4]));
        foreach (int row in new[] { 0, 1, 3 }) checks.Relative("double power", Linear, $"largest rise of row {row + 1}, K", 2 * Hottest(once, row), Hottest(twice, row), 1e-6);
        checks.Relative("double power", Linear, "junction, K", 2 * once.Parts[0].NodeCelsius[0], twice.Parts[0].NodeCelsius[0], 1e-6);
    }

    [Fact]
    public void FieldsOfSourcesAddUp()
    {
        var (first, second, third, all) = (Field([1.4, 0, 0]), Field([0, 0.5, 0]), Field([0, 0, 0.2]), Field([1.4, 0.5, 0.2]));
        double worst = 0;
        for (int cell = 0; cell < all.Grid.CellCount; cell++)
        {
            double sum = (double)first.RowCelsius[1][cell] + second.RowCelsius[1][cell] + third.RowCelsius[1][cell];
            if (!double.IsNaN(sum)) worst = Math.Max(worst, Math.Abs(sum - all.RowCelsius[1][cell]));
        }
        checks.Absolute("sum of three sources", Linear, "worst cell of L1, K", 0, worst, 1e-6 * Hottest(all, 1));
    }

    [Fact]
    public void HeatAtOneReadAtTheOtherIsTheSameBothWays()
    {
        var (atInductor, atTransistor, inController) = (Field([0, 1, 0]), Field([0, 0, 1]), Field([1, 0, 0]));
        checks.Relative("source and reading exchanged", Reciprocity, "L1 to Q2 and back, K/W", atInductor.Parts[2].TerminalCelsius[0], atTransistor.Parts[1].TerminalCelsius[0], 1e-6);
        checks.Relative("source and reading exchanged", Reciprocity, "junction of U1 to L1 and back, K/W", inController.Parts[1].TerminalCelsius[0], atInductor.Parts[0].NodeCelsius[0], 1e-6);
    }

    [Fact]
    public void AMirroredBoardHasAMirroredField()
    {
        var (plain, mirrored) = (Field([1.4, 0.5, 0.2]), Field([1.4, 0.5, 0.2], mirrored: true));
        var grid = plain.Grid;
        double squares = 0;
        for (int cell = 0; cell < grid.CellCount; cell++)
        {
            int mirror = cell / grid.Columns * grid.Columns + grid.Columns - 1 - cell % grid.Columns;
            var (a, b) = (plain.RowCelsius[1][cell], mirrored.RowCelsius[1][mirror]);
            Assert.Equal(float.IsNaN(a), float.IsNaN(b));
            if (!float.IsNaN(a)) squares += (double)(a - b) * (a - b);
        }
        // not the worst cell: one that a cut halves stands for one side of it or the other
        checks.Absolute("mirrored board", Mirror, "rms difference on L1 over the peak", 0, Math.Sqrt(squares / grid.CellCount) / Hottest(plain, 1), 5e-3);
        checks.Relative("mirrored board", Mirror, "junction, K", plain.Parts[0].NodeCelsius[0], mirrored.Parts[0].NodeCelsius[0], 1e-3);
    }

    private static TemperatureField Field(double[] watts, bool mirrored = false)
    {
        var (board, conditions) = SmallBoards.WithEverything(mirrored, watts);
        return Solve(board, conditions, Pitch);
    }

    private static double Hottest(TemperatureField field, int row) => field.RowCelsius[row].Where(float.IsFinite).Max();
}
