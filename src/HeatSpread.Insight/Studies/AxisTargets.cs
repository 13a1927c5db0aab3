using System.Text.Json.Nodes;
using HeatSpread.Boards;

namespace HeatSpread.Insight.Studies;

/// <summary>Finds what a posted axis varies in the base of a study; what is not there is a fault.</summary>
internal sealed class AxisTargets(JsonObject root, Board? board)
{
    /// <summary>The selectors that each quantity takes; the first is required where it is marked.</summary>
    private static readonly Dictionary<string, string[]> Selectors = new(StringComparer.Ordinal)
    {
        ["ambientCelsius"] = [],
        ["watts"] = ["part"],
        ["outputAmps"] = [],
        ["metresPerSecond"] = ["side"],
        ["filmWattsPerM2K"] = ["side"],
        ["emissivity"] = ["side"],
        ["orientation"] = [],
        ["platingUm"] = ["via"],
        ["drill"] = ["via"],
        ["viaCount"] = ["via"],
        ["copperThicknessUm"] = ["layer"],
        ["trackWidth"] = ["copper"],
        ["conductivity"] = ["material"],
    };

    private static readonly string[] AllSelectors = [.. Selectors.Values.SelectMany(keys => keys).Distinct()];

    public static IReadOnlyList<string> Keys { get; } = ["quantity", "pointer", .. AllSelectors];

    /// <summary>Null, with a fault, where there is no such thing.</summary>
    public AxisTarget? Read(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (!members.RequireExactlyOne("quantity", "pointer")) return null;
        string quantity = members.Text("quantity") ?? "";
        string[] taken = members.Has("quantity") ? Selectors.GetValueOrDefault(quantity) ?? AllSelectors : [];
        foreach (string key in AllSelectors.Where(key => members.Has(key) && !taken.Contains(key))) state.Faults.Add(at[key], $"`{key}` does not belong to {(quantity.Length > 0 ? Phrase.Quoted(quantity) : "a `pointer`")}; it must be left out.");
        if (members.Has("pointer")) return OfPointer(members.RequiredText("pointer"), at["pointer"], state);
        if (!Selectors.ContainsKey(quantity))
        {
            state.Faults.Add(at["quantity"], $"Must be one of {Phrase.List(Selectors.Keys)}; found {Phrase.Quoted(quantity)}.{Phrase.Suggestion(quantity, Selectors.Keys)}");
            return null;
        }
        if (board is null) return null; // its faults are told
        return OfQuantity(quantity, members, at, state);
    }

    private AxisTarget? OfQuantity(string quantity, JsonMembers members, JsonPointer at, ReadingState state)
    {
        string? Side() => members.Text("side");
        return quantity switch
        {
            "ambientCelsius" => new PlacesTarget("ambient", "°C", false, ["/conditions/ambientCelsius"], null),
            "watts" => Watts(members, at, state),
            "outputAmps" => OnPlaces(["/conditions/converter/outputAmps"], "load of the converter", "A", null, at, "The conditions have no `converter`.", state),
            "metresPerSecond" => OfSides(Side(), side => Surface(side)?["movingAir"] is null ? null : $"/conditions/surfaces/{side}/movingAir/metresPerSecond", "air speed", "m/s", null, at, "moving air", state),
            "filmWattsPerM2K" => OfSides(Side(), side => Surface(side)?["filmWattsPerM2K"] is null ? null : $"/conditions/surfaces/{side}/filmWattsPerM2K", "film", "W/(m²·K)", null, at, "a given film", state),
            "emissivity" => OfSides(Side(), side => Surface(side) is null || Surface(side)?["filmWattsPerM2K"] is not null ? null : $"/conditions/surfaces/{side}/emissivity", "emissivity", "", 0.9, at, "air", state),
            "orientation" => Orientation(at, state),
            "platingUm" => OfVia(members, at, state) is { } via ? new PlacesTarget($"plating of vias of entry {via}", "µm", true, [$"/layout/vias/{via}/platingUm"], 25) : null,
            "drill" => OfVia(members, at, state) is { } via ? new PlacesTarget($"drill of vias of entry {via}", LayoutUnit, true, [$"/layout/vias/{via}/drill"], null) : null,
            "viaCount" => OfArray(members, at, state),
            "copperThicknessUm" => Thickness(members.Text("layer"), at, state),
            "trackWidth" => Track(members, at, state),
            _ => OfMaterial(members, at, state),
        };
    }

    private string LayoutUnit => root["layout"]!["unit"]?.GetValue<string>() ?? "mm";

    private JsonNode? Surface(string side) => root["conditions"]?["surfaces"]?[side];

    private PlacesTarget? OfPointer(string pointer, JsonPointer at, ReadingState state)
    {
        bool inLayout = pointer.StartsWith("/layout/", StringComparison.Ordinal);
        if (pointer.Length == 0 || (inLayout && board is null)) return null;
        if (!inLayout && !pointer.StartsWith("/conditions/", StringComparison.Ordinal))
            state.Faults.Add(at, $"Must be a JSON Pointer that begins with `/layout/` or `/conditions/`; found {Phrase.Quoted(pointer)}.");
        else if (JsonPlace.Find(root, pointer) is not { } place)
            state.Faults.Add(at, $"Points to nothing in the request (a stored layout is pointed into as it is read back); found {Phrase.Quoted(pointer)}.");
        else if (place.Node is JsonObject or JsonArray)
            state.Faults.Add(at, "Must point to a number or a word; found an object or an array.");
        else
            return new PlacesTarget(pointer, "", inLayout, [pointer], null);
        return null;
    }

    private PlacesTarget? OnPlaces(string[] pointers, string label, string unit, double? otherwise, JsonPointer at, string fault, ReadingState state)
    {
        if (pointers.Length > 0 && pointers.All(pointer => JsonPlace.Find(root, pointer) is { } place && (place.Number ?? otherwise) is not null))
            return new PlacesTarget(label, unit, false, pointers, otherwise);
        state.Faults.Add(at["quantity"], fault);
        return null;
    }

    private PlacesTarget? OfSides(string? side, Func<string, string?> pointer, string label, string unit, double? otherwise, JsonPointer at, string what, ReadingState state)
    {
        if (side is not (null or "top" or "bottom" or "edges"))
        {
            state.Faults.Add(at["side"], $"Must be one of `top`, `bottom`, `edges`; found {Phrase.Quoted(side)}.");
            return null;
        }
        string[] pointers = [.. (side is null ? (string[])["top", "bottom"] : [side]).Select(pointer).OfType<string>()];
        return OnPlaces(pointers, side is null ? label : $"{label} of the {side}", unit, otherwise, at, $"The conditions have no {what}{(side is null ? "" : " on that side")}.", state);
    }

    private OrientationTarget? Orientation(JsonPointer at, ReadingState state)
    {
        string[] sides = [.. ((string[])["top", "bottom"]).Where(side => Surface(side)?["stillAir"] is not null)];
        if (sides.Length > 0) return new(sides);
        state.Faults.Add(at["quantity"], "The conditions have no still air.");
        return null;
    }

    private WattsTarget? Watts(JsonMembers members, JsonPointer at, ReadingState state)
    {
        string id = members.RequiredText("part");
        if (id.Length == 0) return null;
        var part = board!.Parts.FirstOrDefault(each => each.Id == id);
        var converter = root["conditions"]?["converter"];
        if (part is null) state.Faults.Add(at["part"], $"Must be the id of a part; there is no {Phrase.Quoted(id)}.{Phrase.Suggestion(id, board.Parts.Select(each => each.Id))}");
        else if (converter?["part"]?.GetValue<string>() == id || converter?["inductor"]?.GetValue<string>() == id)
            state.Faults.Add(at["part"], $"The watts of {Phrase.Quoted(id)} follow from `converter`; vary `outputAmps`.");
        else return new(id, part.Watts);
        return null;
    }

    private int? OfVia(JsonMembers members, JsonPointer at, ReadingState state) => Index(members, "via", "vias", at, state);

    private int? Index(JsonMembers members, string key, string list, JsonPointer at, ReadingState state)
    {
        double? given = members.Require(key) ? members.Number(key) : null;
        int count = (root["layout"]![list] as JsonArray)?.Count ?? 0;
        if (given is null or double.NaN) return null;
        if (given >= 0 && given < count && given == Math.Floor(given.Value)) return (int)given.Value;
        state.Faults.Add(at[key], count == 0 ? $"The layout has no `{list}`." : $"Must be an index into the layout's `{list}`, 0 to {count - 1}; found {Phrase.Number(given.Value)}.");
        return null;
    }

    private ViaCountTarget? OfArray(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (OfVia(members, at, state) is not { } via) return null;
        if (root["layout"]!["vias"]![via]!["array"] is not null) return new(via);
        state.Faults.Add(at["via"], "Must be an entry with an `array`: the count is spread over its area.");
        return null;
    }

    private PlacesTarget? Thickness(string? layer, JsonPointer at, ReadingState state)
    {
        string[] pointers = [.. ((JsonArray)root["layout"]!["stack"]!).Index().Where(row => row.Item!["kind"]!.GetValue<string>() == "copper" && (layer is null || row.Item!["name"]?.GetValue<string>() == layer)).Select(row => $"/layout/stack/{row.Index}/thicknessUm")];
        if (pointers.Length > 0) return new(layer is null ? "copper thickness" : $"copper thickness of {layer}", "µm", true, pointers, null);
        state.Faults.Add(at[layer is null ? "quantity" : "layer"], layer is null ? "The layout has no copper row." : $"Must be the name of a copper row; there is no {Phrase.Quoted(layer)}.");
        return null;
    }

    private PlacesTarget? Track(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (Index(members, "copper", "copper", at, state) is not { } copper) return null;
        string pointer = $"/layout/copper/{copper}/track/width";
        if (JsonPlace.Find(root, pointer)?.Number is not null) return new($"width of track {copper}", LayoutUnit, true, [pointer], null);
        state.Faults.Add(at["copper"], "Must be an entry with a `track`.");
        return null;
    }

    private MaterialTarget? OfMaterial(JsonMembers members, JsonPointer at, ReadingState state)
    {
        string name = members.RequiredText("material");
        if (name.Length == 0) return null;
        var own = root["layout"]!["materials"]?[name];
        bool isUsed = ((JsonArray)root["layout"]!["stack"]!).Any(row => row!["material"]?.GetValue<string>() == name || row["between"]?.GetValue<string>() == name
            || (row["material"] is null && row["conductivity"] is null && MaterialTarget.UsualOf(row) == name));
        if (!isUsed) state.Faults.Add(at["material"], $"Must be a material that the stack uses; {Phrase.Quoted(name)} is not.");
        else if (own is not null && own["table"] is null && own["inPlane"] is null) state.Faults.Add(at["material"], $"{Phrase.Quoted(name)} is given by its glass; vary it by a `pointer` to `glassShare` or to a conductivity of its own.");
        else if (own is null && Materials.Find(name)?.Curve is not null) state.Faults.Add(at["material"], $"The built-in {Phrase.Quoted(name)} depends on temperature; give the layout a material of its own and vary that.");
        else return new(name);
        return null;
    }
}
