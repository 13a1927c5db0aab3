using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Thermal.Transient;

namespace HeatSpread.Insight.Transients;

/// <summary>Reads what is asked of a transient, strictly.</summary>
public static class TransientReader
{
    private const int MostStages = 1000, MostImpedances = 50;
    private const double ShortestSeconds = 1e-9, LongestSeconds = 1e7, MostWatts = 1e5;

    /// <summary>First time of a transient whose end is given but not its beginning, as a share of the end; and where neither is given, s.</summary>
    private const double UsualFirstShare = 1e-5, UsualFirstSeconds = 1e-3;

    private static readonly string[] Keys = ["firstSeconds", "endSeconds", "tolerance", "schedule", "impedances", "pulse", "nodeJoulesPerKelvin"];
    private static readonly string[] ScheduleKeys = ["start", "stages"];
    private static readonly string[] StageKeys = ["seconds", "watts"];
    private static readonly string[] PulseKeys = ["part", "watts", "baseWatts", "onSeconds", "periodSeconds"];

    /// <param name="json">Should be an object.</param>
    /// <param name="at">Where it stands.</param>
    /// <param name="board">Null where the layout has faults: names are then not looked up.</param>
    /// <param name="conditions">Null where they have faults.</param>
    /// <param name="state">Takes the faults.</param>
    /// <returns>A stand-in where there are faults.</returns>
    public static TransientPlan Read(JsonElement json, JsonPointer at, Board? board, Conditions? conditions, ReadingState state)
    {
        ArgumentNullException.ThrowIfNull(at);
        ArgumentNullException.ThrowIfNull(state);
        var members = new JsonMembers(json, at, state, Keys);
        double? end = Seconds(members, "endSeconds", at, state), first = Seconds(members, "firstSeconds", at, state);
        if (first >= end) state.Faults.Add(at["firstSeconds"], $"Must be less than `endSeconds`; found {Phrase.Number(first.Value)}.");
        double tolerance = members.Number("tolerance") ?? 1e-3;
        if (tolerance is < 1e-6 or > 0.1) state.Faults.Add(at["tolerance"], $"Must lie between 1e-6 and 0.1, a share of the greatest rise; found {Phrase.Number(tolerance)}.");
        var capacities = members.Map("nodeJoulesPerKelvin", state.Limits.Parts, nameof(LayoutLimits.Parts), (value, here, reading) => (Value: value, At: here));
        var nodes = new Dictionary<(int, int), double>();
        foreach (var (part, given) in capacities) ReadNodes(part, given.Value, given.At, board, nodes, state);
        var (stages, fromSteady) = members.Has("schedule") ? Schedule(members.Value("schedule"), at["schedule"], board, conditions, end, state) : ([], false);
        if (members.Has("schedule") && end is null) state.Faults.Add(at, "`endSeconds` must be given where there is a `schedule`; it is missing.");
        int[] impedances = [.. members.List("impedances", MostImpedances, nameof(MostImpedances), (item, here, reading) => PartOf(JsonMembers.ReadText(item, here, reading), here, board, reading))];
        var pulse = members.Has("pulse") ? Pulse(members.Value("pulse"), at["pulse"], board, state) : null;
        if (members.IsObject && !members.Has("schedule") && impedances.Length == 0 && pulse is null) state.Faults.Add(at, "At least one of `schedule`, `impedances`, `pulse` must be given; found none.");
        return new(new TransientSettings(first ?? (end is { } last ? last * UsualFirstShare : UsualFirstSeconds), end, tolerance) { NodeJoulesPerKelvin = nodes })
        {
            Stages = stages,
            StartsFromSteadyState = fromSteady,
            ImpedanceOf = [.. impedances.Distinct()],
            Pulse = pulse,
        };
    }

    private static (IReadOnlyList<PowerStep> Stages, bool FromSteadyState) Schedule(JsonElement json, JsonPointer at, Board? board, Conditions? conditions, double? end, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, ScheduleKeys);
        string start = members.Text("start") ?? "ambient";
        if (start is not ("ambient" or "steady")) state.Faults.Add(at["start"], $"Must be `ambient` or `steady`; found {Phrase.Quoted(start)}.");
        var given = members.RequiredList("stages", MostStages, nameof(MostStages), (item, here, reading) => ReadStage(item, here, board, reading));
        if (members.Has("stages") && given.Count == 0) state.Faults.Add(at["stages"], "Must hold at least one stage.");
        double[] watts = [.. board?.Parts.Select((part, index) => conditions?.Watts.TryGetValue(index, out double own) == true ? own : part.Watts) ?? []];
        var stages = new List<PowerStep>();
        for (int i = 0; i < given.Count; i++)
        {
            var here = at["stages"][i]["seconds"];
            if (i == 0 && given[0].Seconds != 0) state.Faults.Add(here, $"The first stage begins at 0; found {Phrase.Number(given[0].Seconds)}.");
            if (i > 0 && given[i].Seconds <= given[i - 1].Seconds) state.Faults.Add(here, $"Must be later than that of the stage before; found {Phrase.Number(given[i].Seconds)}.");
            if (given[i].Seconds >= end) state.Faults.Add(here, $"Must be before `endSeconds`; found {Phrase.Number(given[i].Seconds)}.");
            foreach (var (part, w) in given[i].Watts) watts[part] = w; // what a stage does not name stays as it was
            stages.Add(new(given[i].Seconds, [.. watts]));
        }
        return (stages, start == "steady");
    }

    private static (double Seconds, IReadOnlyList<(int Part, double Watts)> Watts) ReadStage(JsonElement json, JsonPointer at, Board? board, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, StageKeys);
        double seconds = members.RequiredNumber("seconds");
        members.Require("watts");
        var watts = members.Map("watts", state.Limits.Parts, nameof(LayoutLimits.Parts), (value, here, reading) => (Watts: Watts(JsonMembers.ReadNumber(value, here, reading), here, reading), At: here));
        return (seconds, [.. watts.Select(pair => (Part: PartOf(pair.Key, pair.Value.At, board, state), pair.Value.Watts)).Where(each => each.Part >= 0)]);
    }

    private static PulsePlan? Pulse(JsonElement json, JsonPointer at, Board? board, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, PulseKeys);
        if (!members.IsObject) return null;
        int part = members.Require("part") ? PartOf(members.RequiredText("part"), at["part"], board, state) : -1;
        double watts = Watts(members.RequiredNumber("watts"), at["watts"], state), between = members.Has("baseWatts") ? Watts(members.RequiredNumber("baseWatts"), at["baseWatts"], state) : 0;
        members.Require("onSeconds");
        members.Require("periodSeconds");
        double? on = Seconds(members, "onSeconds", at, state), period = Seconds(members, "periodSeconds", at, state);
        if (on >= period) state.Faults.Add(at["onSeconds"], $"Must be less than `periodSeconds`; found {Phrase.Number(on.Value)}.");
        return part < 0 || on is null || period is null ? null : new(part, watts, between, on.Value, period.Value);
    }

    private static void ReadNodes(string partId, JsonElement json, JsonPointer at, Board? board, Dictionary<(int, int), double> nodes, ReadingState state)
    {
        int part = PartOf(partId, at, board, state);
        if (part < 0) return;
        IReadOnlyList<string> names = board!.Parts[part].Network?.Nodes ?? [];
        if (names.Count == 0) state.Faults.Add(at, $"{Phrase.Quoted(partId)} has no network, so no nodes.");
        if (names.Count == 0) return;
        var members = new JsonMembers(json, at, state, [.. names]);
        foreach (var (node, name) in names.Index().Where(each => members.IsObject && members.Has(each.Item)))
        {
            double capacity = members.RequiredNumber(name);
            if (capacity is < 0 or > 1e6) state.Faults.Add(at[name], $"Must lie between 0 and 1e6 J/K; found {Phrase.Number(capacity)}.");
            nodes[(part, node)] = capacity;
        }
    }

    private static int PartOf(string id, JsonPointer at, Board? board, ReadingState state)
    {
        if (board is null || id.Length == 0) return -1;
        int part = board.Parts.ToList().FindIndex(each => each.Id == id);
        if (part < 0) state.Faults.Add(at, $"Must be the id of a part; there is no {Phrase.Quoted(id)}.{Phrase.Suggestion(id, board.Parts.Select(each => each.Id))}");
        return part;
    }

    private static double Watts(double watts, JsonPointer at, ReadingState state)
    {
        if (watts is < 0 or > MostWatts) state.Faults.Add(at, $"Must lie between 0 and {Phrase.Number(MostWatts)} W; found {Phrase.Number(watts)}.");
        return watts;
    }

    private static double? Seconds(JsonMembers members, string key, JsonPointer at, ReadingState state)
    {
        double? seconds = members.Number(key);
        if (seconds is < ShortestSeconds or > LongestSeconds) state.Faults.Add(at[key], $"Must lie between {Phrase.Number(ShortestSeconds)} and {Phrase.Number(LongestSeconds)} s; found {Phrase.Number(seconds.Value)}.");
        return seconds is double.NaN ? null : seconds;
    }
}
