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
    /// D = (5 + 3·(0.04 + 0.03)) / (12 − 3·(0.06 − 0.04)) = 5.21 / 11.94; ripple (12 − 5 − 3·(0.06 + 0.03)) V·D / (10 µH · 500 kHz), 6.73 V·D / 5; I² + ripple²/12 = 9.0287 A²;
    /// dead time 2 · 20 ns · 500 kHz = 0.02 of the period.
    /// </summary>
    [Theory]
    [InlineData("switchConduction", 0.236381)] // D · 9.0287 · 60 mΩ
    [InlineData("rectifierConduction", 0.196340)] // (1 − D − 0.02) · 9.0287 · 40 mΩ
    [InlineData("switching", 0.18)] // ½ · 12 V · 3 A · 20 ns · 500 kHz
    [InlineData("deadTime", 0.048)] // 3 A · 0.8 V · 0.02
    [InlineData("gate", 0.03)] // 12 nC · 5 V · 500 kHz
    [InlineData("quiescent", 0.024)] // 2 mA · 12 V
    [InlineData("winding", 0.270862)] // 30 mΩ · 9.0287
    [InlineData("core", 0.1)]
    public void A_buck_converter_loses_by(string kind, double watts)
    {
        var reading = ConverterModel.At(Buck, 25, 20)!;

        Assert.Equal(0.436348, reading.DutyRatio, 1e-6);
        Assert.Equal(0.587325, reading.RippleAmperes, 1e-6);
        Assert.Equal(watts, Assert.Single(reading.Losses, loss => loss.Kind == kind).Watts, 1e-6);
        Assert.Equal(0.932512, reading.Efficiency, 1e-6);
        Assert.Equal((15, 15 + 1.085583), (reading.OutputWatts, Math.Round(reading.InputWatts, 6)));
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
        // The ripple of the on-time, 5 V less the drops of switch and winding, is that of the off-time, 12 V and the drops of rectifier and winding less 5 V, by volt-second balance.
        double current = reading.InductorAmperes, duty = reading.DutyRatio, henryHertz = 10e-6 * 500e3;
        Assert.Equal((5 - current * 0.09) * duty / henryHertz, reading.RippleAmperes, 1e-12);
        Assert.Equal((12 + current * 0.07 - 5) * (1 - duty) / henryHertz, reading.RippleAmperes, 1e-12);
        Assert.Empty(reading.Warnings);
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

    /// <summary>Erickson and Maksimović, section 5.1: conduction is discontinuous below a mean current of half the ripple; here 0.29 A of the buck's load.</summary>
    [Theory]
    [InlineData(0.31, false)]
    [InlineData(0.27, true)]
    public void A_ripple_beyond_twice_the_mean_current_is_told(double amperes, bool isTold)
    {
        var light = Buck with { OutputAmperes = amperes };
        Assert.Equal(isTold, ConverterModel.At(light, 25, 20)!.Warnings.Any(text => text.Contains("more than twice its mean current", StringComparison.Ordinal)));
        var diode = light with { Stage = Buck.Stage! with { Rectifier = new(0, 0, 25), RectifierVolts = 0.4 } };
        Assert.Equal(isTold, ConverterModel.At(diode, 25, 20)!.Warnings.Any(text => text.Contains("the diode makes conduction discontinuous", StringComparison.Ordinal)));
    }

    [Fact]
    public void A_boost_converter_is_judged_by_its_inductors_current()
    {
        var boost = Buck with { Topology = ConverterTopology.Boost, InputVolts = 5, OutputVolts = 12, OutputAmperes = 0.15 };
        // ripple 0.58 A, load 0.15 A, inductor 0.36 A: continuous, though the load is below half the ripple
        Assert.Empty(ConverterModel.At(boost, 25, 20)!.Warnings);
        Assert.NotEmpty(ConverterModel.At(boost with { OutputAmperes = 0.1 }, 25, 20)!.Warnings);
    }

    [Fact]
    public void Dead_times_that_leave_the_rectifier_nothing_are_told()
    {
        var slow = Buck with { Stage = Buck.Stage! with { DeadTimeSeconds = 0.6e-6 } };
        Assert.Contains("the rectifier never conducts", Assert.Single(ConverterModel.At(slow, 25, 20)!.Warnings), StringComparison.Ordinal);
    }

    [Fact]
    public void What_cannot_be_reached_is_no_point()
    {
        Assert.Null(ConverterModel.At(Buck with { InputVolts = 5.1 }, 25, 20));
        Assert.Null(ConverterModel.At(Buck with { Topology = ConverterTopology.Boost, InputVolts = 2, OutputVolts = 12, OutputAmperes = 2 }, 25, 20));
    }
}
