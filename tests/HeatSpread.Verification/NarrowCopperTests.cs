using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>
/// What is narrower than a cell: a 0.15 mm gap must block heat and a 0.15 mm track must carry it on 0.25 and 0.5 mm grids as on a 0.05 mm grid, at any angle, anywhere
/// relative to the cells. Asked for is 8 % across a gap at 0.25 mm. The spokes of a thermal relief must throttle it.
/// </summary>
public class NarrowCopperTests(CheckTable checks)
{
    private const string FineGrid = "the same board at 0.05 mm";
    private const double Length = 14 * Millimetre, Width = 10 * Millimetre, Narrow = 0.15 * Millimetre, Fine = 0.05 * Millimetre;

    private static readonly Region whole = Rectangle(0, 0, Length, Width);

    public static TheoryData<double, double> AnglesAndOffsets()
    {
        var data = new TheoryData<double, double>();
        foreach (double angle in new double[] { 0, 15, 30, 45 })
        {
            for (int i = 0; i < 5; i++) data.Add(angle, i * 0.05);
        }
        return data;
    }

    [Theory]
    [MemberData(nameof(AnglesAndOffsets))]
    public void AGapBlocks(double degrees, double offsetMillimetres)
    {
        var line = new Line(degrees, new(Length / 2 + offsetMillimetres * Millimetre, Width / 2));
        StackRow[] rows = [Copper("L1", 50 * Micrometre), Laminate(200 * Micrometre, new Conductivity(0.8, 0.3)), Laminate(400 * Micrometre, new Conductivity(0.8, 0.3))];
        var board = Board(whole, rows, [Pour(whole), Cut(line.At(-20e-3), line.At(20e-3), Narrow)], [OnPad("Q1", Rectangle(1.5e-3, 3e-3, 3.5e-3, 7e-3), 1)]);
        var conditions = Surroundings(10, 10, contacts: Sink(Rectangle(11e-3, 1e-3, 13e-3, 9e-3), 1000));
        Compare(board, conditions, field => Jump(field, line), $"0.15 mm gap at {degrees}°, offset {offsetMillimetres:F2} mm", "jump, K", (0.08, 0.10));
    }

    [Theory]
    [MemberData(nameof(AnglesAndOffsets))]
    public void ATrackCarries(double degrees, double offsetMillimetres)
    {
        var line = new Line(degrees - 90, new(Length / 2, Width / 2 + offsetMillimetres * Millimetre));
        StackRow[] rows = [Copper("L1", 50 * Micrometre), Laminate(100 * Micrometre, 0.3)];
        var (left, right) = (Rectangle(0.5e-3, 0.5e-3, 5.5e-3, 9.5e-3), Rectangle(8.5e-3, 0.5e-3, 13.5e-3, 9.5e-3));
        var board = Board(whole, rows, [Pour(left), Pour(right), Track(line.At(-3e-3), line.At(3e-3), Narrow)], [OnPad("Q1", Rectangle(1e-3, 1e-3, 2e-3, 9e-3), 0.1)]);
        var conditions = Surroundings(0, 0, contacts: Sink(Rectangle(12e-3, 1e-3, 13e-3, 9e-3), 1e5));
        Compare(board, conditions, field => field.Parts[0].TerminalCelsius[0], $"0.15 mm track at {degrees}°, offset {offsetMillimetres:F2} mm", "rise across it, K", (0.08, 0.2));
    }

    /// <summary>Four spokes of 0.3 mm over a gap of 0.2 mm lie inside a cell or two: a cell that stood for the pad and the pour together would short them.</summary>
    [Theory]
    [InlineData(0)]
    [InlineData(0.06)]
    [InlineData(0.13)]
    public void SpokesThrottle(double offsetMillimetres)
    {
        double x = Length / 2 + offsetMillimetres * Millimetre, y = Width / 2 + offsetMillimetres * Millimetre;
        Region Square(double half) => Rectangle(x - half, y - half, x + half, y + half);
        StackRow[] rows = [Copper("L1", 50 * Micrometre), Laminate(400 * Micrometre, new Conductivity(0.8, 0.3))];
        var moat = new CopperFeature { Layer = 0, Net = -1, IsClear = true, Area = Square(1.2e-3) };
        CopperFeature across = Pour(Rectangle(x - 1.3e-3, y - 0.15e-3, x + 1.3e-3, y + 0.15e-3)), upright = Pour(Rectangle(x - 0.15e-3, y - 1.3e-3, x + 0.15e-3, y + 1.3e-3));
        var board = Board(whole, rows, [Pour(whole), moat, Pour(Square(1e-3)), across, upright], [OnPad("Q1", Square(1e-3), 0.5)]);
        double Drop(TemperatureField field) => field.Parts[0].TerminalCelsius[0] - FieldSample.At(field.Grid, field.RowCelsius[0], new(x + 1.6e-3, y + 1.6e-3));
        Compare(board, Surroundings(10, 10), Drop, $"four 0.3 mm spokes, offset {offsetMillimetres:F2} mm", "drop over them, K", (0.15, 0.25));
    }

    private void Compare(Board board, Conditions conditions, Func<TemperatureField, double> read, string name, string quantity, (double AtQuarter, double AtHalf) allowed)
    {
        double expected = read(Solve(board, conditions, Fine));
        foreach (var (pitch, error) in new[] { (0.25, allowed.AtQuarter), (0.5, allowed.AtHalf) })
        {
            checks.Relative(name, FineGrid, $"{quantity}, pitch {pitch:F2} mm", expected, read(Solve(board, conditions, pitch * Millimetre)), error);
        }
    }

    /// <summary>Mean difference between the two sides, 0.6 mm from the line, over the middle of the board.</summary>
    private static double Jump(TemperatureField field, Line line)
    {
        const double Aside = 0.6 * Millimetre;
        const int Points = 41;
        double Read(double along, double aside) => FieldSample.At(field.Grid, field.RowCelsius[0], line.At(along, aside));
        return Enumerable.Range(0, Points).Select(i => (i - Points / 2) * 0.1e-3).Average(along => Read(along, -Aside) - Read(along, Aside));
    }

    /// <summary>A line through a point; at 0° it runs along y, and turns against the clock.</summary>
    private sealed record Line(double Degrees, Point Through)
    {
        /// <param name="along">Metres from the point.</param>
        /// <param name="aside">Metres to the right of the line.</param>
        public Point At(double along, double aside = 0)
        {
            var (sin, cos) = Math.SinCos(Degrees * Math.PI / 180);
            return new(Through.X - along * sin + aside * cos, Through.Y + along * cos + aside * sin);
        }
    }
}
