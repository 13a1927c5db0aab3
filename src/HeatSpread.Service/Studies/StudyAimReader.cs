using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight.Correlation;
using HeatSpread.Insight.Studies;
using HeatSpread.Insight.Transients;
using HeatSpread.Service.Layouts;

namespace HeatSpread.Service.Studies;

/// <summary>Reads what a study is to find out.</summary>
internal sealed class StudyAimReader
{
    private static readonly string[] Aims = ["axes", "derating", "plan", "transient", "correlation"];
    private static readonly string[] AllKeys = ["layout", "conditions", "grid", "axes", "combine", "sample", "derating", "plan", "transient", "correlation"];
    private static readonly string[] SampleKeys = ["count", "seed"];
    private static readonly string[] DeratingKeys = ["ambientCelsius", "quantities"];
    private static readonly string[] QuantityKeys = ["quantity", "part"];
    private static readonly string[] PlanKeys = ["vary", "part", "limitCelsius", "least", "most", "resolution"];
    private static readonly string[] DeratingKinds = ["watts", "outputAmps", "allWatts"];

    private readonly LayoutInUse? _layout;
    private readonly StudyCases? _cases;
    private readonly StudyBounds _bounds;
    private readonly ReadingState _state;
    private readonly AxisReader _axes;
    private readonly JsonPointer _root = JsonPointer.Root("");

    public StudyAimReader(LayoutInUse? layout, JsonElement? conditions, StudyCases? cases, ServiceSettings settings)
    {
        (_layout, _cases, _bounds, _state) = (layout, cases, settings.Study, new ReadingState(settings.Layout));
        _axes = new AxisReader(layout?.Canonical, conditions, layout?.Board, _bounds.Points);
    }

    public IReadOnlyList<Fault> Faults => _state.Faults.Faults();

    /// <summary>Null, with faults, where it is not sound.</summary>
    public StudyAim? Read(JsonElement json)
    {
        var members = new JsonMembers(json, _root, _state, AllKeys);
        int given = Aims.Count(members.Has);
        if (given != 1)
        {
            _state.Faults.Add(_root, $"Exactly one of {Phrase.List(Aims)} must be given; found {(given == 0 ? "none" : Phrase.List(Aims.Where(members.Has)))}.");
            return null;
        }
        if (!members.Has("axes"))
        {
            foreach (string key in ((string[])["combine", "sample"]).Where(members.Has)) _state.Faults.Add(_root[key], $"`{key}` belongs to `axes`; it must be left out here.");
        }
        string kind = Aims.Single(members.Has);
        var aim = kind switch
        {
            "axes" => ReadAxes(members),
            "derating" => ReadDerating(members.Value(kind), _root[kind]),
            "plan" => ReadPlan(members.Value(kind), _root[kind]),
            "transient" => new StudyAim(StudyKind.Transient, []) { Transient = TransientReader.Read(members.Value(kind), _root[kind], _layout?.Board, _cases?.Base.Conditions, _state) },
            _ => new StudyAim(StudyKind.Correlation, []) { Correlation = CorrelationReader.Read(members.Value(kind), _root[kind], _cases, _state) },
        };
        return _state.Faults.Any ? null : aim;
    }

    private StudyAim? ReadAxes(JsonMembers members)
    {
        bool isSample = members.Has("sample");
        var axes = members.List("axes", _bounds.Axes, "Study:Axes", (json, at, state) => _axes.Read(json, at, isSample ? AxisUse.Sample : AxisUse.Sweep, state));
        if (axes.Count == 0) _state.Faults.Add(_root["axes"], "Must hold at least one axis.");
        string combine = "grid";
        if (members.Has("combine"))
        {
            combine = JsonMembers.ReadText(members.Value("combine"), _root["combine"], _state);
            if (combine is not ("grid" or "list")) _state.Faults.Add(_root["combine"], $"Must be `grid` or `list`; found {Phrase.Found(members.Value("combine"))}.");
            if (isSample) _state.Faults.Add(_root["combine"], "A sample is drawn; `combine` must be left out beside `sample`.");
        }
        StudyAxis[] sound = [.. axes.OfType<StudyAxis>()];
        if (isSample) return ReadSample(members.Value("sample"), sound);
        if (_state.Faults.Any || axes.Count == 0) return null;
        return combine == "list" ? List(sound) : Grid(sound);
    }

    private StudyAim? Grid(StudyAxis[] axes)
    {
        double points = axes.Aggregate(1.0, (product, axis) => product * axis.Values.Count);
        if (points > _bounds.Points) _state.Faults.Add(_root["axes"], $"A study may have at most {_bounds.Points} points (limit Study:Points); these axes make {points:F0}.");
        return _state.Faults.Any ? null : new(StudyKind.Sweep, axes) { Plan = StudyPlan.Grid(axes) };
    }

    private StudyAim? List(StudyAxis[] axes)
    {
        for (int axis = 1; axis < axes.Length; axis++)
        {
            if (axes[axis].Values.Count != axes[0].Values.Count) _state.Faults.Add(_root["axes"][axis], $"In a `list` every axis has as many values as the first, {axes[0].Values.Count}; found {axes[axis].Values.Count}.");
        }
        return _state.Faults.Any ? null : new(StudyKind.Sweep, axes) { Plan = StudyPlan.List(axes) };
    }

    private StudyAim? ReadSample(JsonElement json, StudyAxis[] axes)
    {
        var (at, members) = (_root["sample"], new JsonMembers(json, _root["sample"], _state, SampleKeys));
        int count = members.RequiredCount("count");
        double seed = members.Number("seed") ?? 1;
        if (members.IsObject && (count < 2 || count > _bounds.Points)) _state.Faults.Add(at["count"], $"Must be from 2 to {_bounds.Points} (limit Study:Points); found {count}.");
        if (seed != Math.Floor(seed) || Math.Abs(seed) > int.MaxValue) _state.Faults.Add(at["seed"], $"Must be a whole number; found {Phrase.Number(seed)}.");
        return _state.Faults.Any ? null : new(StudyKind.Sample, axes) { Plan = StudyPlan.Sample(axes, count, (int)seed) };
    }

    private StudyAim? ReadDerating(JsonElement json, JsonPointer at)
    {
        var members = new JsonMembers(json, at, _state, DeratingKeys);
        if (!members.IsObject) return null;
        var ambients = members.Require("ambientCelsius") ? _axes.Range(members.Value("ambientCelsius"), at["ambientCelsius"], _state) : [];
        var posted = members.List("quantities", _bounds.Axes, "Study:Axes", ReadQuantity);
        if (members.Has("quantities") && posted.Count == 0) _state.Faults.Add(at["quantities"], "Must hold at least one quantity, or be left out.");
        if (_cases is null) return null;
        if (StudyLimit.Of(_cases.Base).Count == 0) _state.Faults.Add(at, "There is no limit to keep: give parts a `limitCelsius`, or the conditions `limits`.");
        DeratingQuantity[] quantities = members.Has("quantities") ? [.. posted.OfType<DeratingQuantity>()] : [.. Usual(_cases)];
        foreach (var (index, celsius) in ambients.Index().Where(each => each.Item <= -273.15)) _state.Faults.Add(at["ambientCelsius"]["values"][index], $"Must be above absolute zero, -273.15 °C; found {Phrase.Number(celsius)}.");
        if ((long)quantities.Length * ambients.Count > _bounds.Points) _state.Faults.Add(at, $"A study may have at most {_bounds.Points} points (limit Study:Points); {quantities.Length} curves of {ambients.Count} ambients are more.");
        return _state.Faults.Any ? null : new(StudyKind.Derating, []) { Derating = new(quantities, [.. ambients.Order().Distinct()]) };
    }

    private static List<DeratingQuantity> Usual(StudyCases cases)
    {
        var (board, conditions) = cases.Base;
        if (conditions.Converter is not null) return [new(DeratingKind.OutputAmps, -1)];
        var heated = board.Parts.Index().Where(part => (conditions.Watts.TryGetValue(part.Index, out double given) ? given : part.Item.Watts) > 0).Select(part => new DeratingQuantity(DeratingKind.Watts, part.Index)).ToList();
        return heated.Count > 1 ? [.. heated, new(DeratingKind.AllWatts, -1)] : heated;
    }

    private DeratingQuantity? ReadQuantity(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, QuantityKeys);
        string kind = members.RequiredText("quantity");
        if (kind.Length == 0) return null;
        if (!DeratingKinds.Contains(kind)) state.Faults.Add(at["quantity"], $"Must be one of {Phrase.List(DeratingKinds)}; found {Phrase.Quoted(kind)}.{Phrase.Suggestion(kind, DeratingKinds)}");
        if (kind != "watts" && members.Has("part")) state.Faults.Add(at["part"], $"`part` belongs to `watts`; it must be left out beside {Phrase.Quoted(kind)}.");
        if (kind == "outputAmps" && _cases is not null && _cases.Base.Conditions.Converter is null) state.Faults.Add(at["quantity"], "The conditions have no `converter`.");
        if (kind != "watts") return new(kind == "outputAmps" ? DeratingKind.OutputAmps : DeratingKind.AllWatts, -1);
        int part = Part(members, at, state);
        if (part >= 0 && _cases?.Base.Conditions.Converter is { } converter && (part == converter.Part || part == converter.Inductor)) state.Faults.Add(at["part"], "The watts of that part follow from `converter`; derate `outputAmps`.");
        return new(DeratingKind.Watts, part);
    }

    private StudyAim? ReadPlan(JsonElement json, JsonPointer at)
    {
        var members = new JsonMembers(json, at, _state, PlanKeys);
        if (!members.IsObject) return null;
        var axis = members.Require("vary") ? _axes.Read(members.Value("vary"), at["vary"], AxisUse.Search, _state) : null;
        int part = Part(members, at, _state);
        double most = members.RequiredNumber("most");
        double? least = members.Number("least"), limit = members.Number("limitCelsius"), resolution = members.Number("resolution");
        if (axis is null || part < 0 || _cases is null) return null;
        least ??= axis.IsRelative ? 1 : _cases.BaseOf(axis);
        limit ??= _layout!.Board.Parts[part].LimitCelsius;
        if (axis.Words is not null) _state.Faults.Add(at["vary"], "Words cannot be searched.");
        if (least is null) _state.Faults.Add(at, "`least` must be given: the base has no such number.");
        if (limit is null) _state.Faults.Add(at, "`limitCelsius` must be given: the part has none.");
        if (most <= least) _state.Faults.Add(at["most"], $"Must be greater than `least`, {Phrase.Number(least.Value)}; found {Phrase.Number(most)}.");
        if (resolution <= 0) _state.Faults.Add(at["resolution"], $"Must be greater than 0; found {Phrase.Number(resolution.Value)}.");
        if (axis.IsWhole && (least != Math.Floor(least ?? 0) || most != Math.Floor(most))) _state.Faults.Add(at["most"], "A count is searched between whole numbers.");
        if (_state.Faults.Any) return null;
        return new(StudyKind.Plan, [axis]) { Copper = new(part, limit!.Value, least!.Value, most, resolution ?? (axis.IsWhole ? 1 : most / 100)) };
    }

    /// <summary>Index of the part that <c>part</c> names; -1, with a fault, for none.</summary>
    private int Part(JsonMembers members, JsonPointer at, ReadingState state)
    {
        string id = members.RequiredText("part");
        if (id.Length == 0 || _layout is null) return -1;
        var ids = _layout.Board.Parts.Select(part => part.Id).ToList();
        if (!ids.Contains(id)) state.Faults.Add(at["part"], $"Must be the id of a part; there is no {Phrase.Quoted(id)}.{Phrase.Suggestion(id, ids)}");
        return ids.IndexOf(id);
    }
}
