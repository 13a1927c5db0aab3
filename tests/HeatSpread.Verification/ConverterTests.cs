using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>A converter whose resistances rise with the temperatures that it makes, on a board of one temperature.</summary>
public class ConverterTests(CheckTable checks)
{
    private const double Side = 20 * Millimetre, Film = 20, Ambient = 25, PerKelvin = 0.005;

    private static readonly Region Whole = Rectangle(0, 0, Side, Side);

    /// <summary>Copper so conducting that part, inductor and board are one temperature.</summary>
    private static Board OneTemperature => Board(
        Whole,
        [Copper("L1", 1 * Millimetre, 1e5)],
        [Pour(Whole)],
        [OnPad("U1", Rectangle(3e-3, 3e-3, 6e-3, 6e-3), 0), OnPad("L10", Rectangle(12e-3, 12e-3, 16e-3, 16e-3), 0)]);

    /// <summary>Both switches alike, so that the duty ratio does not matter: all three resistances are in series with the load.</summary>
    private static Conditions With(double amperes, double coreWatts = 0.2) => Surroundings(Film, Film, ambient: Ambient) with
    {
        Converter = new Converter
        {
            Topology = ConverterTopology.Buck,
            Part = 0,
            Inductor = 1,
            InputVolts = 24,
            OutputVolts = 5,
            OutputAmperes = amperes,
            SwitchingHertz = 400e3,
            Winding = new(0.02, PerKelvin, Ambient),
            CoreWatts = coreWatts,
            Stage = new PowerStage { Switch = new(0.05, PerKelvin, Ambient), Rectifier = new(0.05, PerKelvin, Ambient) },
        },
    };

    [Theory]
    [InlineData(0.5)]
    [InlineData(1)]
    [InlineData(1.5)]
    public void LossesAndTemperatureAgree(double amperes)
    {
        var field = Solve(OneTemperature, With(amperes), 1 * Millimetre);
        double film = 2 * Film * Side * Side, cold = amperes * amperes * 0.07, rise = (cold + 0.2) / (film - PerKelvin * cold);
        checks.Relative($"converter at {amperes} A", "I²·R(T) and a constant loss against a film, solved for T", "rise, K", rise, field.At(0, Side / 2, Side / 2) - Ambient, 1e-3);
        checks.Relative($"converter at {amperes} A", "Erickson and Maksimović, losses at the temperature found", "input, W", 5 * amperes + film * rise, field.Converter!.InputWatts, 1e-3);
        Assert.InRange(field.Heat.ImbalanceWatts, -1e-6 * field.Heat.DissipatedWatts, 1e-6 * field.Heat.DissipatedWatts);
        Assert.Equal(field.Heat.DissipatedWatts, field.Converter.Losses.Sum(loss => loss.Watts), 1e-6 * field.Heat.DissipatedWatts);
    }

    [Fact]
    public void ARunawayNamesTheLastStableLoad()
    {
        // A rise without bound begins where the film loses what the temperature coefficient adds; below copper's melting point already a little earlier.
        double film = 2 * Film * Side * Side, mostRise = 1084.62 - Ambient, most = Math.Sqrt(film * mostRise / (0.07 * (1 + PerKelvin * mostRise)));
        var thrown = Assert.Throws<ThermalSolveException>(() => Solve(OneTemperature, With(10, coreWatts: 0), 1 * Millimetre));
        Assert.True(thrown.IsRunaway);
        checks.Relative("converter that runs away", "film over temperature coefficient, copper's melting point", "last stable load, A", most, thrown.LastStableOutputAmperes!.Value, 0.03);
        Assert.Contains("The last stable load is", thrown.Message, StringComparison.Ordinal);
    }
}
