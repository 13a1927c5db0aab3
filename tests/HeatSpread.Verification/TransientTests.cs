using HeatSpread.Boards;
using HeatSpread.Insight.Transients;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Transient;
using HeatSpread.Verification.ClosedForms;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>Heat switched on, against closed forms over time.</summary>
public class TransientTests(CheckTable checks)
{
    private const double Thickness = 0.5 * Millimetre, Width = 2 * Millimetre, Length = 200 * Millimetre, Conductivity = 200, Capacity = 3.44e6, Pitch = 0.5 * Millimetre;
    private const double Diffusivity = Conductivity / Capacity;
    private static readonly SolveCapacity capacity = new(2);

    /// <summary>One temperature everywhere: a resistance and a capacity.</summary>
    [Fact]
    public void LumpedPlate()
    {
        using var plate = Plate(Surroundings(50, 50));
        double resistance = 1 / (100 * 20e-3 * 20e-3), constant = Capacity * 1e-3 / 100;
        var curve = TransientRun.OfOneWatt(plate, 0, new TransientSettings(0.1, null), capacity, null, TestContext.Current.CancellationToken);
        var impedance = new ThermalImpedance(curve, 0);
        const string Source = "one capacity on one resistance, R(1 - exp(-t/RC)) (Incropera, DeWitt, ch. 5.1)";
        foreach (double t in new[] { 1.0, 10.0, 34.4, 100.0 }) checks.Relative("plate heated evenly", Source, $"K/W after {t} s", resistance * (1 - Math.Exp(-t / constant)), impedance.At(t), 5e-3);

        const double On = 5, Period = 20;
        var pulse = RepeatedPulse.Of(impedance, 2, On, Period);
        double peak = 2 * resistance * (1 - Math.Exp(-On / constant)) / (1 - Math.Exp(-Period / constant));
        const string PulseSource = "periodic state of one capacity on one resistance, by summing the steps' exponentials";
        checks.Relative("plate under repeated pulses", PulseSource, "peak, K", peak, pulse.PeakKelvin, 5e-3);
        checks.Relative("plate under repeated pulses", PulseSource, "trough, K", peak * Math.Exp(-(Period - On) / constant), pulse.TroughKelvin, 5e-3);
    }

    /// <summary>A strip long enough that its far end does not matter, with next to no films.</summary>
    [Fact]
    public void SemiInfiniteBody()
    {
        using var strip = Strip(film: 1e-3);
        const double Flux = 1 / (Width * Thickness);
        var curve = TransientRun.OfOneWatt(strip, 0, new TransientSettings(0.05, 20), capacity, null, TestContext.Current.CancellationToken);
        const string Source = "semi-infinite body under a constant flux (Carslaw and Jaeger, ch. 2.9)";
        foreach (var (part, x) in new[] { (0, 0.25e-3), (1, 10.25e-3), (2, 30.25e-3) })
        {
            var impedance = new ThermalImpedance(curve, part);
            foreach (double t in new[] { 2.0, 8.0, 16.0 })
            {
                double root = 2 * Math.Sqrt(Diffusivity * t), exact = Flux / Conductivity * (root / Math.Sqrt(Math.PI) * Math.Exp(-x * x / (root * root)) - x * MathNet.Numerics.SpecialFunctions.Erfc(x / root));
                if (x < root) checks.Relative("end of a long strip heated", Source, $"K/W at {x * 1e3} mm after {t} s", exact, impedance.At(t), 2e-3);
            }
        }
    }

    [Fact]
    public void StepOfAFin()
    {
        const double Film = 50;
        using var strip = Strip(Film);
        double m = Math.Sqrt(2 * Film / (Conductivity * Thickness)), flux = 1 / (Width * Thickness);
        var curve = TransientRun.OfOneWatt(strip, 0, new TransientSettings(0.05, 200), capacity, null, TestContext.Current.CancellationToken);
        var impedance = new ThermalImpedance(curve, 0);
        const string Source = "long fin, a constant flux at its base switched on (Laplace transform of the fin's equation, as Carslaw and Jaeger, ch. 4)";
        foreach (double t in new[] { 4.0, 10.0, 30.0, 100.0 })
        {
            // the first cell's centre
            double x = Pitch / 2, near = x / (2 * Math.Sqrt(Diffusivity * t)), far = m * Math.Sqrt(Diffusivity * t);
            double exact = flux / (2 * Conductivity * m) * (Math.Exp(-m * x) * MathNet.Numerics.SpecialFunctions.Erfc(near - far) - Math.Exp(m * x) * MathNet.Numerics.SpecialFunctions.Erfc(near + far));
            checks.Relative("fin switched on", Source, $"K/W at the base after {t} s", exact, impedance.At(t), 3e-3);
        }
        Assert.Equal(strip.RiseOf(strip.HottestOf(0)), impedance.SettledKelvinPerWatt, 6);
    }

    /// <summary>A node that stores heat, on a board that is held cold.</summary>
    [Fact]
    public void NodeOfAPart()
    {
        const double Resistance = 5, Stored = 0.1;
        var plate = Rectangle(0, 0, 20e-3, 20e-3);
        var network = new PartNetwork(["junction", "case"], [new(0, PartLinkTarget.Node, 1, Resistance / 2), new(1, PartLinkTarget.Terminal, 0, Resistance / 2)], [1, 0]);
        using var held = Solved(Board(plate, [Copper("L1", 1e-3, 1e4)], [Pour(plate)], [OnPad("Q1", plate, 1, network: network)]), Surroundings(0, 1e5), 2e-3);
        var settings = new TransientSettings(0.01, 5) { NodeJoulesPerKelvin = new Dictionary<(int, int), double> { [(0, 0)] = Stored } };
        var impedance = new ThermalImpedance(TransientRun.OfOneWatt(held, 0, settings, capacity, null, TestContext.Current.CancellationToken), 0);
        foreach (double t in new[] { 0.1, 0.5, 2.0 })
            checks.Relative("node of a part on a cold board", "one capacity on one resistance, R(1 - exp(-t/RC)) (Incropera, DeWitt, ch. 5.1)", $"K/W after {t} s", Resistance * (1 - Math.Exp(-t / (Resistance * Stored))), impedance.At(t), 0.01);
    }

    /// <summary>Free convection and radiation on a plate of one temperature, against its ordinary differential equation stepped far finer in the test.</summary>
    [Fact]
    public void PlateUnderStillAirFollowsItsFilms()
    {
        var face = new StillAirSurface(AirOrientation.Vertical, Emissivity: 0.9, SurroundingsCelsius: 25);
        var surroundings = Surroundings(1, 1, ambient: 25) with { Top = face, Bottom = face };
        var published = new PublishedFilms(25);
        using var plate = Plate(surroundings, watts: 3);
        var curve = TransientRun.UnderPower(plate, [new(0, [3.0]), new(400, [0.0])], fromSteadyState: false, new TransientSettings(1, 800), capacity, null, TestContext.Current.CancellationToken);
        foreach (double until in new[] { 100.0, 400.0, 800.0 })
        {
            double rise = 0, step = 0.02;
            for (double t = 0; t < until - step / 2; t += step)
            {
                double Flux(double r) => (r > 0 ? published.Vertical(25 + r, 20e-3) * r : 0) + PublishedFilms.Radiation(25 + r, 25, 0.9);
                double Change(double r) => ((t < 400 - step / 2 ? 3 : 0) - 2 * 4e-4 * Flux(r)) / (Capacity * 1e-3 * 4e-4);
                double half = rise + step / 2 * Change(rise);
                rise += step * Change(half);
            }
            var moment = curve.Moments.MinBy(each => Math.Abs(each.Seconds - until))!;
            if (Math.Abs(moment.Seconds - until) < 1e-6) checks.Relative("plate in still air heated and left", "its ordinary differential equation with Churchill and Chu 1975 and Stefan-Boltzmann, midpoint rule at 0.02 s", $"K after {until} s", rise, moment.Parts[0], 0.05);
        }
        Assert.Contains(curve.Moments, moment => moment.Seconds == 400);
    }

    /// <summary>Half the step, a quarter of the error.</summary>
    [Fact]
    public void StepsAreOfSecondOrder()
    {
        using var strip = Strip(film: 50);
        double[] errors = [.. new[] { 1.0, 0.5, 0.25 }.Select(step => AtTen(strip, step) - AtTen(strip, 1 / 32.0))];
        for (int i = 0; i < 2; i++) Assert.InRange(Math.Log2(errors[i] / errors[i + 1]), 1.7, 2.3);
    }

    private static double AtTen(SolvedNetwork strip, double step)
    {
        using var system = new StageSystem(strip, HeatCapacities.Of(strip.Network, []), followsFilms: false, capacity);
        var heat = new double[system.Count];
        strip.HeatEntryOf(0).AddTo(heat);
        // a smooth start: the field of a second's steady growth would do as well, but a fine start is the same for all
        var steps = new TransientSteps(system, new double[system.Count], heat);
        steps.Settle(1e-3, TestContext.Current.CancellationToken);
        while (steps.Seconds < 2 - 1e-9) steps.TryStep(Math.Min(1 / 32.0, 2 - steps.Seconds), 1e9, TestContext.Current.CancellationToken);
        while (steps.Seconds < 10 - 1e-9) steps.TryStep(step, 1e9, TestContext.Current.CancellationToken);
        return strip.HottestOf(0).On(steps.Rise);
    }

    private static SolvedNetwork Plate(Conditions surroundings, double watts = 1)
    {
        var plate = Rectangle(0, 0, 20e-3, 20e-3);
        return Solved(Board(plate, [Copper("L1", 1e-3, 1e4)], [Pour(plate)], [OnBody("Q1", plate, watts)]), surroundings, 2e-3);
    }

    private static SolvedNetwork Strip(double film)
    {
        var strip = Rectangle(0, 0, Length, Width);
        Part[] parts = [OnBody("Q1", Rectangle(0, 0, Pitch, Width), 1), OnBody("P1", Rectangle(10e-3, 0, 10.5e-3, Width), 0), OnBody("P2", Rectangle(30e-3, 0, 30.5e-3, Width), 0)];
        return Solved(Board(strip, [Copper("L1", Thickness, Conductivity)], [Pour(strip)], parts), Surroundings(film, film), Pitch);
    }

    private static SolvedNetwork Solved(Board board, Conditions conditions, double pitch)
    {
        var token = TestContext.Current.CancellationToken;
        return ThermalSolve.Run(board, conditions, CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch), token), threads: 2, progress: null, token);
    }
}
