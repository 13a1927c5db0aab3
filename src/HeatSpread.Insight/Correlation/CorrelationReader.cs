using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight.Studies;

namespace HeatSpread.Insight.Correlation;

/// <summary>Reads what is asked of a correlation, strictly.</summary>
public static class CorrelationReader
{
    private const int MostPoints = 2000, MostInputs = 20;

    private static readonly string[] Keys = ["points", "photograph", "inputs"];
    private static readonly string[] PointKeys = ["probe", "part", "layer", "at", "name", "celsius", "toleranceKelvin", "standardUncertaintyKelvin"];
    private static readonly string[] InputKeys = [.. AxisTargets.Keys, "least", "most", "start"];

    /// <param name="json">Should be an object.</param>
    /// <param name="at">Where it stands.</param>
    /// <param name="cases">The base; null where layout or conditions have faults: names are then not looked up.</param>
    /// <param name="state">Takes the faults.</param>
    /// <returns>Null where there are faults.</returns>
    public static CorrelationPlan? Read(JsonElement json, JsonPointer at, StudyCases? cases, ReadingState state)
    {
        ArgumentNullException.ThrowIfNull(at);
        ArgumentNullException.ThrowIfNull(state);
        var members = new JsonMembers(json, at, state, Keys);
        if (!members.IsObject) return null;
        var points = members.List("points", MostPoints, nameof(MostPoints), (item, here, reading) => Point(item, here, cases, reading)).OfType<MeasuredPoint>().ToList();
        if (members.Has("photograph")) points.AddRange(PhotographReader.Read(members.Value("photograph"), at["photograph"], cases, state));
        if (!members.Has("points") && !members.Has("photograph")) state.Faults.Add(at, "At least one of `points` and `photograph` must be given; found none.");
        var inputs = members.RequiredList("inputs", MostInputs, nameof(MostInputs), (item, here, reading) => Input(item, here, cases, reading));
        if (members.Has("inputs") && inputs.Count == 0) state.Faults.Add(at["inputs"], "Must hold at least one input.");
        if (cases is null || state.Faults.Any) return null;
        if (points.Count >= inputs.Count) return new([.. inputs.Select(input => input!.Value.Input)], [.. inputs.Select(input => input!.Value.Axis)], points);
        state.Faults.Add(at["inputs"], $"May hold at most as many inputs as there are measured points; found {inputs.Count} for {points.Count}.");
        return null;
    }

    /// <summary>Standard uncertainty of a measurement, K, from its tolerance or as given.</summary>
    internal static double Uncertainty(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (!members.RequireExactlyOne("toleranceKelvin", "standardUncertaintyKelvin")) return double.NaN;
        string key = members.Has("toleranceKelvin") ? "toleranceKelvin" : "standardUncertaintyKelvin";
        double kelvin = members.RequiredNumber(key);
        if (kelvin is <= 0 or > 1000) state.Faults.Add(at[key], $"Must be greater than 0, and at most 1000 K; found {Phrase.Number(kelvin)}.");
        return key == "toleranceKelvin" ? MeasuredPoint.FromTolerance(kelvin) : kelvin;
    }

    private static MeasuredPoint? Point(JsonElement json, JsonPointer at, StudyCases? cases, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, PointKeys);
        if (!members.IsObject) return null;
        double celsius = members.RequiredNumber("celsius"), uncertainty = Uncertainty(members, at, state);
        if (celsius is < -273.15 or > 2000) state.Faults.Add(at["celsius"], $"Must lie between -273.15 and 2000 °C; found {Phrase.Number(celsius)}.");
        string? name = members.Text("name");
        if (!members.RequireExactlyOne("probe", "part", "layer") || cases is null) return null;
        if (members.Has("layer") && !members.Require("at")) return null;
        if (!members.Has("layer") && members.Has("at")) state.Faults.Add(at["at"], "`at` belongs to a `layer`; it must be left out.");
        var place = Place(members, at, cases, state);
        return place is null ? null : new(name ?? place.Value.Name, place.Value.Reading, celsius, uncertainty);
    }

    private static (string Name, PointReading Reading)? Place(JsonMembers members, JsonPointer at, StudyCases cases, ReadingState state)
    {
        var board = cases.Base.Board;
        string key = members.Has("probe") ? "probe" : members.Has("part") ? "part" : "layer", name = members.RequiredText(key);
        if (name.Length == 0) return null;
        string[] known = [.. key switch { "probe" => board.Probes.Select(probe => probe.Name), "part" => board.Parts.Select(part => part.Id), _ => board.Layers.Select(layer => layer.Name) }];
        int index = Array.IndexOf(known, name);
        if (index < 0)
        {
            state.Faults.Add(at[key], $"There is no {key} {Phrase.Quoted(name)}.{Phrase.Suggestion(name, known)}");
            return null;
        }
        if (key == "probe") return (name, new(null, board.Layers[board.Probes[index].Layer].Row, board.Probes[index].At));
        if (key == "part") return (name, new(index, 0, default));
        var (given, toMeters) = (members.RequiredPosition("at"), cases.Unit == "inch" ? 25.4e-3 : 1e-3);
        var metres = new Point(given.X * toMeters, given.Y * toMeters);
        if (double.IsNaN(given.X)) return null;
        if (!PartAt.Contains(board.Outline, metres)) state.Faults.Add(at["at"], $"Must lie on the board; found {Phrase.Number(given.X)}, {Phrase.Number(given.Y)}.");
        return (FormattableString.Invariant($"{name} at {given.X:0.##}, {given.Y:0.##} {cases.Unit}"), new(null, board.Layers[index].Row, metres));
    }

    private static (FitInput Input, StudyAxis Axis)? Input(JsonElement json, JsonPointer at, StudyCases? cases, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, InputKeys);
        if (!members.IsObject) return null;
        double least = members.RequiredNumber("least"), most = members.RequiredNumber("most");
        if (most <= least) state.Faults.Add(at["most"], $"Must be greater than `least`; found {Phrase.Number(most)}.");
        var target = cases is null ? null : new AxisTargets(cases.Root, cases.Base.Board).Read(members, at, state);
        if (target is null || double.IsNaN(least) || double.IsNaN(most) || cases is null) return null;
        if (target.InLayout || target is OrientationTarget)
        {
            state.Faults.Add(at, $"A fit varies numbers of the conditions; {Phrase.Quoted(target.Label)} is none.");
            return null;
        }
        double start = members.Number("start") ?? Math.Clamp(target.Base(cases.Root) ?? (least + most) / 2, least, most);
        if (start < least || start > most) state.Faults.Add(at["start"], $"Must lie between `least` and `most`; found {Phrase.Number(start)}.");
        var axis = new StudyAxis(target, isRelative: false, [], words: null, distribution: null);
        if (most > least) CheckBounds(axis, [("least", least), ("most", most)], at, cases, state);
        return (new(target.Label, target.Unit, start, least, most), axis);
    }

    /// <summary>What is sound at both ends is sound between them.</summary>
    private static void CheckBounds(StudyAxis axis, IReadOnlyList<(string Key, double Value)> bounds, JsonPointer at, StudyCases cases, ReadingState state)
    {
        foreach (var (key, value) in bounds)
        {
            try
            {
                cases.At([axis], [value]);
            }
            catch (StudyCaseException unsound)
            {
                state.Faults.Add(at[key], $"Gives unsound conditions: {unsound.Faults[0].Pointer}: {unsound.Faults[0].Detail}");
            }
        }
    }
}
