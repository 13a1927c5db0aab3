using System.Text.Json;
using HeatSpread.Boards;

namespace HeatSpread.Insight.Studies;

/// <summary>What a study expects of an axis.</summary>
public enum AxisUse
{
    /// <summary>Values.</summary>
    Sweep,

    /// <summary>A distribution.</summary>
    Sample,

    /// <summary>Neither: the study looks for the value.</summary>
    Search,
}

/// <summary>Reads posted axes strictly.</summary>
public sealed class AxisReader
{
    private static readonly string[] ValueKeys = ["values", "from", "to", "count", "distribution", "relative"];
    private static readonly string[] Keys = [.. AxisTargets.Keys, .. ValueKeys];
    private static readonly string[] RangeKeys = ["values", "from", "to", "count"];
    private static readonly string[] Spreads = ["uniform", "normal", "triangular"];

    private readonly AxisTargets _targets;
    private readonly int _mostValues;

    /// <param name="layoutJson">Canonical JSON of the base's layout, UTF-8; null where it has faults.</param>
    /// <param name="conditions">Of the base, as posted.</param>
    /// <param name="board">What the layout describes; null where it has faults.</param>
    /// <param name="mostValues">Most values of one axis.</param>
    public AxisReader(ReadOnlySpan<byte> layoutJson, JsonElement? conditions, Board? board, int mostValues)
    {
        var root = new System.Text.Json.Nodes.JsonObject();
        if (board is not null) root["layout"] = System.Text.Json.Nodes.JsonNode.Parse(layoutJson);
        if (conditions is { ValueKind: JsonValueKind.Object } given) root["conditions"] = System.Text.Json.Nodes.JsonObject.Create(given.Clone());
        (_targets, _mostValues) = (new(root, board), mostValues);
    }

    /// <summary>Null, with faults, where it is not sound.</summary>
    public StudyAxis? Read(JsonElement json, JsonPointer at, AxisUse use, ReadingState state)
    {
        ArgumentNullException.ThrowIfNull(state);
        ArgumentNullException.ThrowIfNull(at);
        var members = new JsonMembers(json, at, state, Keys);
        if (!members.IsObject) return null;
        var target = _targets.Read(members, at, state);
        bool relative = members.Flag("relative") ?? target is MaterialTarget;
        if (target is MaterialTarget && !relative) state.Faults.Add(at["relative"], "The values of `conductivity` are multiples of the material's own: `relative` must be true or left out.");
        CheckUse(members, at, use, state);
        var (values, words) = use == AxisUse.Sweep ? Values(members, at, state) : ([], null);
        var distribution = use == AxisUse.Sample && members.Has("distribution") ? Spread(members.Value("distribution"), at["distribution"], state) : null;
        if (target is null) return null;
        CheckKind(target, relative, words, use, at, state);
        return new(target, relative, values, words, distribution);
    }

    /// <summary>Numbers from <c>values</c>, or from <c>from</c>, <c>to</c> and <c>count</c>.</summary>
    public IReadOnlyList<double> Range(JsonElement json, JsonPointer at, ReadingState state)
    {
        ArgumentNullException.ThrowIfNull(at);
        var members = new JsonMembers(json, at, state, RangeKeys);
        if (!members.IsObject) return [];
        var (values, words) = Values(members, at, state);
        if (words is not null) state.Faults.Add(at["values"], "Must be numbers; found words.");
        return values;
    }

    private static void CheckUse(JsonMembers members, JsonPointer at, AxisUse use, ReadingState state)
    {
        string must = use switch { AxisUse.Sweep => "an axis of a sweep has values", AxisUse.Sample => "an axis of a sample has a `distribution`", _ => "the study looks for the value itself" };
        foreach (string key in ValueKeys.Where(key => key != "relative" && members.Has(key)))
        {
            bool belongs = use switch { AxisUse.Sweep => key != "distribution", AxisUse.Sample => key == "distribution", _ => false };
            if (!belongs) state.Faults.Add(at[key], $"`{key}` must be left out: {must}.");
        }
        if (use == AxisUse.Sample) members.Require("distribution");
    }

    private static void CheckKind(AxisTarget target, bool relative, IReadOnlyList<string>? words, AxisUse use, JsonPointer at, ReadingState state)
    {
        bool needsWords = target is OrientationTarget, takesWords = needsWords || target is PlacesTarget { Label: ['/', ..] };
        if (needsWords && words is null) state.Faults.Add(at[use == AxisUse.Sample ? "distribution" : "values"], $"`orientation` has `values` out of {Phrase.List(OrientationTarget.Words)}.");
        if (!takesWords && words is not null) state.Faults.Add(at["values"], "Must be numbers; found words.");
        if (words is not null && relative) state.Faults.Add(at["relative"], "Words have no multiples.");
        if (needsWords && words is not null)
        {
            foreach (var (index, word) in words.Index().Where(each => !OrientationTarget.Words.Contains(each.Item))) state.Faults.Add(at["values"][index], $"Must be one of {Phrase.List(OrientationTarget.Words)}; found {Phrase.Quoted(word)}.");
        }
        if (target.IsWhole && use == AxisUse.Sample) state.Faults.Add(at["distribution"], "A count has no distribution.");
    }

    private (IReadOnlyList<double> Values, IReadOnlyList<string>? Words) Values(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (!members.Has("values")) return (Spaced(members, at, state), null);
        foreach (string key in (string[])["from", "to", "count"])
            if (members.Has(key)) state.Faults.Add(at[key], $"`{key}` must be left out beside `values`.");
        var items = members.List("values", _mostValues, "Study:Points", (item, here, reading) => item.ValueKind == JsonValueKind.String ? (object)JsonMembers.ReadText(item, here, reading) : JsonMembers.ReadNumber(item, here, reading));
        if (items.Count == 0) state.Faults.Add(at["values"], "Must hold at least one value.");
        if (items.Count > 0 && items.All(item => item is string)) return ([.. Enumerable.Range(0, items.Count).Select(index => (double)index)], [.. items.Cast<string>()]);
        if (items.Any(item => item is string)) state.Faults.Add(at["values"], "Must be all numbers or all words.");
        return ([.. items.OfType<double>()], null);
    }

    private double[] Spaced(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (!members.Has("from") && !members.Has("to") && !members.Has("count"))
        {
            state.Faults.Add(at, "Must have `values`, or `from`, `to` and `count`; found none.");
            return [];
        }
        double from = members.RequiredNumber("from"), to = members.RequiredNumber("to");
        int count = members.RequiredCount("count");
        if (count > _mostValues) state.Faults.Add(at["count"], $"May be at most {_mostValues} (limit Study:Points); found {count}.");
        return count > _mostValues ? [] : [.. Enumerable.Range(0, count).Select(index => count == 1 ? from : from + (to - from) * index / (count - 1))];
    }

    private static Distribution? Spread(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, Spreads);
        if (!members.RequireExactlyOne(Spreads)) return null;
        string kind = Spreads.First(members.Has);
        string[] keys = kind switch { "uniform" => ["least", "most"], "normal" => ["mean", "standardDeviation"], _ => ["least", "mode", "most"] };
        var inner = new JsonMembers(members.Value(kind), at[kind], state, keys);
        if (!inner.IsObject) return null;
        double[] numbers = [.. keys.Select(inner.RequiredNumber)];
        if (kind == "normal")
        {
            if (numbers[1] <= 0) state.Faults.Add(at[kind]["standardDeviation"], $"Must be greater than 0; found {Phrase.Number(numbers[1])}.");
            return new NormalSpread(numbers[0], numbers[1]);
        }
        if (numbers[^1] <= numbers[0]) state.Faults.Add(at[kind]["most"], $"Must be greater than `least`; found {Phrase.Number(numbers[^1])}.");
        if (kind == "uniform") return new UniformSpread(numbers[0], numbers[1]);
        if (numbers[1] < numbers[0] || numbers[1] > numbers[2]) state.Faults.Add(at[kind]["mode"], $"Must lie between `least` and `most`; found {Phrase.Number(numbers[1])}.");
        return new TriangularSpread(numbers[0], numbers[1], numbers[2]);
    }
}
