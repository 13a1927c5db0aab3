using HeatSpread.Boards;
using HeatSpread.Thermal.Converters;
using Xunit;

namespace HeatSpread.Tests.Thermal;

/// <summary>An example of our own, recomputed by hand from the formulas of Erickson and Maksimović.</summary>
public sealed class ConverterModelTests
{
    private static readonly Converter Buck = new()
    {
        Topology = ConverterTopology.Buck,
        Part = 0,
        Inductor = 1,
        InputVolts = 12,
        OutputVolts = 5,
        OutputAmperes = 3,
        SwitchingHertz = 500e3,
        Henry = 10e-6,
        Winding = new(0.03, 0.00393, 20),
        CoreWatts = 0.1,
        Stage = new PowerStage
        {
            Switch = new(0.06, 0.005, 25),
            Rectifier = new(0.04, 0.005, 25),
            OverlapSeconds = 20e-9,
            DeadTimeSeconds = 20e-9,
            DeadTimeVolts = 0.8,
            GateCoulomb = 12e-9,
            GateVolts = 5,
            QuiescentAmperes = 2e-3,
        },
    };

    /// <summary>
    /// D = (5 + 3·(0.04 + 0.03)) / (12 − 3·(0.06 − 0.04)) = 5.21 / 11.94; ripple 7 V·D / (10 µH · 500 kHz); I² + ripple²/12 = 9.0311 A²;
    /// dead time 2 · 20 ns · 500 kHz = 0.02 of the period.
    /// </summary>
    [Theory]
    [InlineData("switchConduction", 0.236442)] // D · 9.0311 · 60 mΩ
    [InlineData("rectifierConduction", 0.196391)] // (1 − D − 0.02) · 9.0311 · 40 mΩ
    [InlineData("switching", 0.18)] // ½ · 12 V · 3 A · 20 ns · 500 kHz
    [InlineData("deadTime", 0.048)] // 3 A · 0.8 V · 0.02
    [InlineData("gate", 0.03)] // 12 nC · 5 V · 500 kHz
    [InlineData("quiescent", 0.024)] // 2 mA · 12 V
    [InlineData("winding", 0.270933)] // 30 mΩ · 9.0311
    [InlineData("core", 0.1)]
    public void A_buck_converter_loses_by(string kind, double watts)
    {
        var reading = ConverterModel.At(Buck, 25, 20)!;

        Assert.Equal(0.436348, reading.DutyRatio, 1e-6);
        Assert.Equal(0.610888, reading.RippleAmperes, 1e-6);
        Assert.Equal(watts, Assert.Single(reading.Losses, loss => loss.Kind == kind).Watts, 1e-6);
        Assert.Equal(0.932501, reading.Efficiency, 1e-6);
        Assert.Equal((15, 15 + 1.085766), (reading.OutputWatts, Math.Round(reading.InputWatts, 6)));
    }

    [Fact]
    public void Hot_resistances_need_a_longer_duty()
    {
        // 60 and 40 mΩ become 90 and 60 at 125 °C, 30 mΩ becomes 38.84 at 95 °C: D = (5 + 3·98.84 mΩ) / (12 − 3·30 mΩ).
        var reading = ConverterModel.At(Buck, 125, 95)!;
        Assert.Equal(0.444713, reading.DutyRatio, 1e-6);
        Assert.Equal(0.09 * reading.DutyRatio * (9 + reading.RippleAmperes * reading.RippleAmperes / 12), reading.Losses[0].Watts, 1e-9);
    }

    [Fact]
    public void A_boost_converter_carries_its_input_current_in_the_inductor()
    {
        var boost = Buck with { Topology = ConverterTopology.Boost, InputVolts = 5, OutputVolts = 12, OutputAmperes = 1 };
        var reading = ConverterModel.At(boost, 25, 20)!;
        // 12·D'² − (5 + 0.02)·D' + 0.09 = 0, the larger root 0.399563; inductor 1 A / D'.
        Assert.Equal(1 - 0.399563, reading.DutyRatio, 1e-6);
        Assert.Equal(2.502735, reading.InductorAmperes, 1e-5);
        // conduction alone: what the duty ratio makes up for is lost in the three resistances (ripple, dead time and the rest left out)
        var bare = boost with { Henry = null, CoreWatts = 0, Stage = new PowerStage { Switch = boost.Stage!.Switch, Rectifier = boost.Stage.Rectifier } };
        var conduction = ConverterModel.At(bare, 25, 20)!;
        Assert.Equal(5 * conduction.InductorAmperes, conduction.InputWatts, 1e-9);
    }

    [Fact]
    public void A_buck_converter_without_ripple_draws_its_duty_of_the_load()
    {
        var bare = Buck with { Henry = null, CoreWatts = 0, Stage = new PowerStage { Switch = Buck.Stage!.Switch, Rectifier = Buck.Stage.Rectifier, RectifierVolts = 0.4 } };
        var reading = ConverterModel.At(bare, 80, 60)!;
        Assert.Equal(12 * 3 * reading.DutyRatio, reading.InputWatts, 1e-9);
    }

    [Fact]
    public void A_measured_efficiency_is_shared_between_part_and_inductor()
    {
        var measured = Buck with { Efficiency = 0.9, Stage = null };
        var reading = ConverterModel.At(measured, 25, 20)!;
        Assert.Equal(0.9, reading.Efficiency, 1e-12);
        Assert.Equal(15 / 9.0, reading.Losses.Sum(l => l.Watts), 1e-12);
        Assert.Equal(["measured", "winding", "core"], reading.Losses.Select(l => l.Kind));
        Assert.Null(ConverterModel.At(measured with { Efficiency = 0.99 }, 25, 20)); // the inductor alone loses more
    }

    [Fact]
    public void What_cannot_be_reached_is_no_point()
    {
        Assert.Null(ConverterModel.At(Buck with { InputVolts = 5.1 }, 25, 20));
        Assert.Null(ConverterModel.At(Buck with { Topology = ConverterTopology.Boost, InputVolts = 2, OutputVolts = 12, OutputAmperes = 2 }, 25, 20));
    }
}
