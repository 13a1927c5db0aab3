using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>Reads the operating point of a converter.</summary>
internal static class ConverterReader
{
    /// <summary>Of the on-resistance of a silicon switch at 25 °C, 1/K: common practice, no source.</summary>
    private const double SwitchPerKelvin = 0.005;

    /// <summary>Of copper at 20 °C, 1/K: IEC 60028.</summary>
    private const double CopperPerKelvin = 0.00393;

    /// <summary>Forward drop of a silicon body diode, V: common practice, no source.</summary>
    private const double BodyDiodeVolts = 0.8;

    private const double Milli = 1e-3, Micro = 1e-6, Nano = 1e-9;

    private static readonly string[] Topologies = ["buck", "boost"];

    /// <summary>Keys of the loss model, which a measured efficiency takes the place of.</summary>
    private static readonly string[] StageKeys =
    [
        "switchMilliohm", "rectifierMilliohm", "resistancePerKelvin", "resistanceAtCelsius", "rectifierVolts", "riseNanoseconds", "fallNanoseconds",
        "deadTimeNanoseconds", "deadTimeVolts", "gateNanocoulomb", "gateVolts", "quiescentMilliamps",
    ];

    private static readonly string[] Keys =
    [
        "topology", "part", "inductor", "inputVolts", "outputVolts", "outputAmps", "switchingKilohertz", "inductorMicrohenry", "windingMilliohm", "windingPerKelvin", "windingAtCelsius",
        "coreWatts", "efficiency", .. StageKeys,
    ];

    /// <param name="json">The value of <c>converter</c>.</param>
    /// <param name="at">Where it stands.</param>
    /// <param name="parts">Of the layout.</param>
    /// <param name="state">Takes what is wrong.</param>
    public static Converter Read(JsonElement json, JsonPointer at, NameTable parts, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, Keys);
        int part = Part("part"), inductor = Part("inductor");
        if (part >= 0 && part == inductor) state.Faults.Add(at["inductor"], "The inductor must be another part than the converter's `part`.");
        double input = Positive(members, "inputVolts", at, state), output = Positive(members, "outputVolts", at, state);
        bool isMeasured = members.Has("efficiency");
        foreach (string key in StageKeys.Where(key => isMeasured && members.Has(key)))
            state.Faults.Add(at[key], "Must be left out where the losses follow from a measured `efficiency`.");
        return new Converter
        {
            Topology = Topology(members, at, input, output, state),
            Part = part,
            Inductor = inductor,
            InputVolts = input,
            OutputVolts = output,
            OutputAmperes = Least0(members, "outputAmps", at, state, required: true),
            SwitchingHertz = Positive(members, "switchingKilohertz", at, state) * 1e3,
            Henry = members.Has("inductorMicrohenry") ? Positive(members, "inductorMicrohenry", at, state) * Micro : null,
            Winding = new WarmResistance(
                Least0(members, "windingMilliohm", at, state, required: true) * Milli, Least0(members, "windingPerKelvin", at, state, CopperPerKelvin), Celsius(members, "windingAtCelsius", at, state, 20)),
            CoreWatts = Least0(members, "coreWatts", at, state),
            Efficiency = isMeasured ? Efficiency(members, at, state) : null,
            Stage = isMeasured ? null : Stage(members, at, input, state),
        };

        int Part(string key)
        {
            string name = members.RequiredText(key);
            return name.Length == 0 ? -1 : parts.Resolve(name, at[key]);
        }
    }

    private static ConverterTopology Topology(JsonMembers members, JsonPointer at, double input, double output, ReadingState state)
    {
        string topology = members.Text("topology") ?? (output < input ? "buck" : "boost");
        ValueRules.RequireWord(topology, Topologies, at["topology"], state.Faults);
        if (output == input && output > 0)
            state.Faults.Add(at["outputVolts"], $"Must differ from `inputVolts`: a buck converter steps down, a boost converter up, and neither gives {Phrase.Number(output)} V from {Phrase.Number(input)} V.");
        else if (topology == "buck" && output > input)
            state.Faults.Add(at["outputVolts"], $"A buck converter's output must lie below its input; found {Phrase.Number(output)} V from {Phrase.Number(input)} V.");
        else if (topology == "boost" && output < input)
            state.Faults.Add(at["outputVolts"], $"A boost converter's output must lie above its input; found {Phrase.Number(output)} V from {Phrase.Number(input)} V.");
        return topology == "boost" ? ConverterTopology.Boost : ConverterTopology.Buck;
    }

    private static PowerStage Stage(JsonMembers members, JsonPointer at, double input, ReadingState state)
    {
        double perKelvin = Least0(members, "resistancePerKelvin", at, state, SwitchPerKelvin), atCelsius = Celsius(members, "resistanceAtCelsius", at, state, 25);
        if (!members.Has("rectifierMilliohm") && !members.Has("rectifierVolts") && members.Has("switchMilliohm"))
            state.Faults.Add(at, "`rectifierMilliohm` of a switch or `rectifierVolts` of a diode must be given; both are missing.");
        return new PowerStage
        {
            Switch = new WarmResistance(Least0(members, "switchMilliohm", at, state, required: true) * Milli, perKelvin, atCelsius),
            Rectifier = new WarmResistance(Least0(members, "rectifierMilliohm", at, state) * Milli, perKelvin, atCelsius),
            RectifierVolts = Least0(members, "rectifierVolts", at, state),
            OverlapSeconds = (Least0(members, "riseNanoseconds", at, state) + Least0(members, "fallNanoseconds", at, state)) * Nano,
            DeadTimeSeconds = Least0(members, "deadTimeNanoseconds", at, state) * Nano,
            DeadTimeVolts = Least0(members, "deadTimeVolts", at, state, BodyDiodeVolts),
            GateCoulomb = Least0(members, "gateNanocoulomb", at, state) * Nano,
            GateVolts = Least0(members, "gateVolts", at, state, input),
            QuiescentAmperes = Least0(members, "quiescentMilliamps", at, state) * Milli,
        };
    }

    private static double Efficiency(JsonMembers members, JsonPointer at, ReadingState state)
    {
        double efficiency = members.RequiredNumber("efficiency");
        if (efficiency is <= 0 or >= 1) state.Faults.Add(at["efficiency"], $"Must lie above 0 and below 1; found {Phrase.Number(efficiency)}.");
        return efficiency;
    }

    private static double Positive(JsonMembers members, string key, JsonPointer at, ReadingState state)
    {
        double value = members.RequiredNumber(key);
        ValueRules.RequirePositive(value, at[key], state.Faults);
        return value;
    }

    private static double Least0(JsonMembers members, string key, JsonPointer at, ReadingState state, double absent = 0, bool required = false)
    {
        double value = required ? members.RequiredNumber(key) : members.Number(key) ?? absent;
        ValueRules.RequireNotNegative(value, at[key], state.Faults);
        return value;
    }

    private static double Celsius(JsonMembers members, string key, JsonPointer at, ReadingState state, double absent)
    {
        double value = members.Number(key) ?? absent;
        ValueRules.RequireTemperature(value, at[key], state.Faults);
        return value;
    }
}
