using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Insight.Correlation;
using HeatSpread.Thermal;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Fits to measurements that were made up from a known truth and known noise.</summary>
public class CorrelationTests(ITestOutputHelper output)
{
    private const double Noise = 0.3, Pitch = 1.5e-3;
    private const int Seeds = 100;

    private static readonly SolveCapacity capacity = new(1);
    private static readonly Board board = TwoSources();
    private static readonly CopperRaster raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, Pitch), CancellationToken.None);
    private static readonly Conditions believed = Surroundings(10, 10, ambient: 25, contacts: Sink(Rectangle(30e-3, 0, 36e-3, 24e-3), 500, celsius: 30)) with { Watts = new Dictionary<int, double> { [0] = 1, [1] = 1 } };
    private static readonly double[] truth = [14, 260, 1.3];

    /// <summary>An input, and what it does to the conditions.</summary>
    private sealed record Varied(FitInput Input, Func<Conditions, double, Conditions> With);

    private static Varied Film => new(new("film of both faces", "W/(m²·K)", 10, 2, 60), (c, film) => c with { Top = new FilmSurface(film), Bottom = new FilmSurface(film) });

    private static Varied Contact => new(new("conductance of the contact", "W/(m²·K)", 500, 50, 5000), (c, value) => c with { Contacts = [c.Contacts[0] with { WattsPerSquareMeterKelvin = value }] });

    private static Varied Watts => new(new("watts of Q1", "W", 1, 0, 3), (c, value) => c with { Watts = new Dictionary<int, double>(c.Watts) { [0] = value } });

    /// <summary>95 % intervals hold the truth in at least 93 of 100 sets of noise, for each input.</summary>
    [Fact]
    public void IntervalsHoldTheTruth()
    {
        var token = TestContext.Current.CancellationToken;
        Varied[] inputs = [Film, Contact, Watts];
        double[] exact = Temperatures(truth, inputs);
        var held = new int[inputs.Length];
        double chiSquare = 0;
        for (int seed = 0; seed < Seeds; seed++)
        {
            var random = new Random(seed);
            var points = Points(exact, () => Noise * MathNet.Numerics.Distributions.Normal.Sample(random, 0, 1));
            var found = Fit(inputs, points, token);
            Assert.True(found.Converged);
            chiSquare += found.ChiSquare / found.DegreesOfFreedom / Seeds;
            for (int j = 0; j < inputs.Length; j++) held[j] += found.Inputs[j].Least95 <= truth[j] && truth[j] <= found.Inputs[j].Most95 ? 1 : 0;
        }
        output.WriteLine($"truth within the 95 % interval, of {Seeds}: {string.Join(", ", inputs.Zip(held, (input, count) => $"{input.Input.Label} {count}"))}; mean χ²/ν {chiSquare:F2}");
        Assert.All(held, count => Assert.True(count >= 93, $"{count} of {Seeds}"));
        Assert.InRange(chiSquare, 0.85, 1.15);
    }

    /// <summary>The network's own derivatives against differences of solves, by adjoints and directly.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(9)]
    public void DerivativesAreThoseOfSolves(int pointCount)
    {
        var token = TestContext.Current.CancellationToken;
        Varied[] inputs = [Film, Contact, Watts, new(new("ambient", "°C", 25, 0, 60), (c, celsius) => c with { AmbientCelsius = celsius })];
        double[] values = [.. truth, 25];
        using var solved = ThermalSolve.Run(board, With(inputs, values), raster, capacity, 1e-9, null, token);
        LinearReading[] readings = [.. Points(new double[9], () => 0).Take(pointCount).Select(point => point.Reading.On(solved))];
        ConditionChange[] changes = [.. inputs.Select((input, j) => new ConditionChange(With(inputs, Moved(values, j, -1e-3 * values[j])), With(inputs, Moved(values, j, 1e-3 * values[j])), 2e-3 * values[j]))];
        double[][] derivatives = ConditionSensitivity.Of(solved, readings, changes, token);
        for (int j = 0; j < inputs.Length; j++)
        {
            double step = 1e-2 * Math.Max(1, values[j] / 10);
            double[] below = Temperatures(Moved(values, j, -step), inputs), above = Temperatures(Moved(values, j, step), inputs);
            for (int i = 0; i < pointCount; i++) Assert.Equal((above[i] - below[i]) / (2 * step), derivatives[i][j], 2e-4 * Math.Max(1, Math.Abs(derivatives[i][j])));
        }
    }

    /// <summary>Two films on the two faces of a thin board do much the same; a contact that is not there does nothing.</summary>
    [Fact]
    public void TellsWhatThePointsCannotTellApart()
    {
        Varied top = new(new("film of the top", "W/(m²·K)", 10, 2, 60), (c, film) => c with { Top = new FilmSurface(film) }), bottom = new(new("film of the bottom", "W/(m²·K)", 10, 2, 60), (c, film) => c with { Bottom = new FilmSurface(film) });
        Varied nothing = new(new("emissivity of a face with a given film", "", 0.5, 0.1, 1), (c, _) => c);
        Varied[] inputs = [top, bottom, nothing];
        var random = new Random(7);
        var points = Points(Temperatures([14, 12, 0.5], inputs), () => Noise * MathNet.Numerics.Distributions.Normal.Sample(random, 0, 1));
        var found = Fit(inputs, points, TestContext.Current.CancellationToken);
        output.WriteLine(string.Join(Environment.NewLine, found.NotToldApart));
        Assert.False(found.Inputs[2].IsTold);
        Assert.Contains(found.NotToldApart, text => text.Contains("emissivity", StringComparison.Ordinal));
        Assert.Contains(found.NotToldApart, text => text.Contains("film of the top", StringComparison.Ordinal) && text.Contains("film of the bottom", StringComparison.Ordinal));
    }

    /// <summary>A model that cannot meet the points says so.</summary>
    [Fact]
    public void PointsBeyondTheModelAreTold()
    {
        var points = Points(Temperatures(truth, [Film, Contact, Watts]), () => 0);
        points[3] = points[3] with { Celsius = points[3].Celsius + 8 };
        var found = Fit([Film], points, TestContext.Current.CancellationToken);
        Assert.False(found.IsWithinUncertainty);
        Assert.Equal(3, found.Points.Index().MaxBy(point => Math.Abs(point.Item.Normalised)).Index);
    }

    /// <summary>A photograph, turned, scaled and seen from either side, gives back the field that it was made of, and a fit to it the truth.</summary>
    [Theory]
    [InlineData(BoardSide.Top)]
    [InlineData(BoardSide.Bottom)]
    public void PhotographOfASide(BoardSide side)
    {
        var token = TestContext.Current.CancellationToken;
        Varied[] inputs = [Film, Contact, Watts];
        using var solved = ThermalSolve.Run(board, With(inputs, truth), raster, capacity, 1e-9, null, token);
        int row = side == BoardSide.Top ? 0 : board.Rows.Count - 1;
        const int Columns = 200, Rows = 160;
        var (sin, cos) = Math.SinCos(0.4);
        // 0.3 mm a pixel, turned by 0.4 rad about the board's middle; from below x runs the other way
        (double Column, double Row) Pixel(Point at)
        {
            double x = (side == BoardSide.Top ? 1 : -1) * (at.X - 18e-3) / 0.3e-3, y = -(at.Y - 12e-3) / 0.3e-3;
            return (99.5 + cos * x - sin * y, 79.5 + sin * x + cos * y);
        }
        Point Board(int column, int line)
        {
            double c = column - 99.5, r = line - 79.5, x = cos * c + sin * r, y = -sin * c + cos * r;
            return new(18e-3 + (side == BoardSide.Top ? 1 : -1) * x * 0.3e-3, 12e-3 - y * 0.3e-3);
        }
        double Truth(Point at) => solved.Conditions.AmbientCelsius + solved.RiseOf(FieldSample.ReadingAt(solved, row, at));
        double[] celsius = [.. Enumerable.Range(0, Rows * Columns).Select(i => Board(i % Columns, i / Columns)).Select(at => at.X is > 0 and < 36e-3 && at.Y is > 0 and < 24e-3 ? Truth(at) : 22)];
        ReferencePoint Reference(Point at) => new(Pixel(at).Column, Pixel(at).Row, at);
        var photograph = new ThermalPhotograph(celsius, Columns, Reference(new(2e-3, 2e-3)), Reference(new(33e-3, 21e-3)), side, Noise);
        Assert.Equal(Truth(new(10.3e-3, 7.7e-3)), photograph.At(new(10.3e-3, 7.7e-3)), 0.05);
        var points = photograph.Points(board, 60);
        Assert.InRange(points.Count, 40, 60);
        var found = Fit(inputs, points, token);
        for (int j = 0; j < inputs.Length; j++) Assert.Equal(1, found.Inputs[j].Value / truth[j], 0.01);
    }

    private static CorrelationResult Fit(Varied[] inputs, IReadOnlyList<MeasuredPoint> points, CancellationToken token) =>
        CorrelationFit.Run(board, raster, [.. inputs.Select(input => input.Input)], values => With(inputs, [.. values]), points, capacity, progress: null, token);

    private static double[] Moved(double[] values, int input, double by) => [.. values.Select((value, j) => j == input ? value + by : value)];

    private static Conditions With(Varied[] inputs, double[] values)
    {
        var with = believed;
        for (int j = 0; j < inputs.Length; j++) with = inputs[j].With(with, values[j]);
        return with;
    }

    private static double[] Temperatures(double[] values, Varied[] inputs)
    {
        using var solved = ThermalSolve.Run(board, With(inputs, values), raster, capacity, 1e-9, null, TestContext.Current.CancellationToken);
        return [.. Points(new double[9], () => 0).Select(point => solved.Conditions.AmbientCelsius + solved.RiseOf(point.Reading.On(solved)))];
    }

    private static MeasuredPoint[] Points(double[] celsius, Func<double> noise)
    {
        (double X, double Y)[] at = [(6, 12), (18, 12), (30, 12), (6, 4), (18, 20), (33, 4), (24, 12), (12, 18), (34, 20)];
        return [.. at.Select((place, i) => new MeasuredPoint($"TP{i + 1}", new(null, 0, new(place.X * 1e-3, place.Y * 1e-3)), celsius[i] + noise(), Noise))];
    }

    private static Board TwoSources()
    {
        var outline = Rectangle(0, 0, 36e-3, 24e-3);
        Part[] parts = [OnPad("Q1", Rectangle(4e-3, 10e-3, 8e-3, 14e-3), 1), OnPad("Q2", Rectangle(16e-3, 10e-3, 20e-3, 14e-3), 1)];
        return Board(outline, [Copper("L1", 35e-6), Laminate(1.5e-3, new Conductivity(0.8, 0.3)), Copper("L2", 35e-6)], [Pour(outline), Pour(outline, layer: 1)], parts);
    }
}
