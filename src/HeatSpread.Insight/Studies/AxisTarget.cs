using System.Globalization;
using System.Text.Json.Nodes;
using HeatSpread.Boards;

namespace HeatSpread.Insight.Studies;

/// <summary>What an axis varies: a change of the base's JSON, so that whatever can be posted can be varied, and every variant passes the same checks as what is posted.</summary>
internal abstract record AxisTarget(string Label, string Unit, bool InLayout)
{
    /// <summary>Values are whole numbers.</summary>
    public virtual bool IsWhole => false;

    /// <summary>What the base has; null where it has nothing, or not one number.</summary>
    public abstract double? Base(JsonObject root);

    /// <param name="root">With <c>layout</c> and <c>conditions</c>; it is changed.</param>
    /// <param name="value">A number, or an index into <paramref name="words"/>.</param>
    /// <param name="relative">The value is a multiple of what the base has.</param>
    /// <param name="words">Of an axis of words; null: numbers.</param>
    public abstract void Apply(JsonObject root, double value, bool relative, IReadOnlyList<string>? words);
}

/// <summary>One or more numbers (or words) that take the same value.</summary>
/// <param name="Label">For people.</param>
/// <param name="Unit">For people.</param>
/// <param name="InLayout">In the layout, else in the conditions.</param>
/// <param name="Pointers">Into the root.</param>
/// <param name="Default">What a missing member stands for; null: nothing.</param>
internal sealed record PlacesTarget(string Label, string Unit, bool InLayout, IReadOnlyList<string> Pointers, double? Default) : AxisTarget(Label, Unit, InLayout)
{
    public override double? Base(JsonObject root) => JsonPlace.Find(root, Pointers[0])?.Number ?? Default;

    public override void Apply(JsonObject root, double value, bool relative, IReadOnlyList<string>? words)
    {
        foreach (string pointer in Pointers)
        {
            if (JsonPlace.Find(root, pointer) is not { } place) continue;
            if (words is not null) place.Node = words[(int)value];
            else place.Node = relative ? value * (place.Number ?? Default ?? 0) : value;
        }
    }
}

/// <summary>The watts of a part: those of the conditions, which stand before the layout's.</summary>
internal sealed record WattsTarget(string Part, double LayoutWatts) : AxisTarget($"watts of {Part}", "W", false)
{
    public override double? Base(JsonObject root) => root["conditions"]!["watts"]?[Part]?.GetValue<double>() ?? LayoutWatts;

    public override void Apply(JsonObject root, double value, bool relative, IReadOnlyList<string>? words)
    {
        double watts = relative ? value * (Base(root) ?? 0) : value;
        if (root["conditions"]!["watts"] is not JsonObject map) root["conditions"]!["watts"] = map = [];
        map[Part] = watts;
    }
}

/// <summary>How the top of a board in still air faces; the other side faces the other way.</summary>
internal sealed record OrientationTarget(IReadOnlyList<string> Sides) : AxisTarget("orientation", "", false)
{
    public static readonly IReadOnlyList<string> Words = ["vertical", "faceUp", "faceDown"];

    public override double? Base(JsonObject root) => null;

    public override void Apply(JsonObject root, double value, bool relative, IReadOnlyList<string>? words)
    {
        string top = words![(int)value], bottom = top switch { "faceUp" => "faceDown", "faceDown" => "faceUp", _ => top };
        foreach (string side in Sides) root["conditions"]!["surfaces"]![side]!["stillAir"]!["orientation"] = side == "bottom" ? bottom : top;
    }
}

/// <summary>
/// Vias of an array: as many as are asked for, in rows over the area that the array as drawn takes (a pitch for each hole), so that the copper around them need not grow.
/// </summary>
/// <param name="Via">Index into the layout's vias.</param>
internal sealed record ViaCountTarget(int Via) : AxisTarget(string.Create(CultureInfo.InvariantCulture, $"number of vias of entry {Via}"), "", true)
{
    public override bool IsWhole => true;

    public override double? Base(JsonObject root) => root["layout"]!["vias"]![Via]!["array"] is { } array ? array["columns"]!.GetValue<double>() * array["rows"]!.GetValue<double>() : null;

    public override void Apply(JsonObject root, double value, bool relative, IReadOnlyList<string>? words)
    {
        var via = (JsonObject)root["layout"]!["vias"]![Via]!;
        int count = (int)Math.Round(relative ? value * Base(root)!.Value : value);
        if (count == Base(root)) return;
        if (count <= 0)
        {
            // none: holes without metal, pad or clearance are nothing to the heat
            (via["platingUm"], via["pad"], via["clearance"], via["fill"]) = (0, 0, 0, "none");
            return;
        }
        var array = via["array"]!;
        via.Remove("array");
        via["at"] = new JsonArray([.. Places(array, count).Select(p => new JsonArray(p.X, p.Y))]);
    }

    private static IEnumerable<Point> Places(JsonNode array, int count)
    {
        double Number(JsonNode? node) => node!.GetValue<double>();
        double pitchX = Number(array["pitch"]![0]), pitchY = Number(array["pitch"]![1]), width = Number(array["columns"]) * pitchX, height = Number(array["rows"]) * pitchY;
        double left = Number(array["origin"]![0]) - pitchX / 2, lower = Number(array["origin"]![1]) - pitchY / 2;
        int rows = Math.Clamp((int)Math.Round(Math.Sqrt(count * Math.Abs(height / width))), 1, count);
        for (int row = 0; row < rows; row++)
        {
            int here = (row + 1) * count / rows - row * count / rows;
            for (int i = 0; i < here; i++) yield return new(left + width * (i + 0.5) / here, lower + height * (row + 0.5) / rows);
        }
    }
}

/// <summary>All conductivities of a material, as multiples of its own; a built-in one becomes the layout's own.</summary>
/// <param name="Material">Name.</param>
internal sealed record MaterialTarget(string Material) : AxisTarget($"conductivity of {Material}", "times", true)
{
    public override double? Base(JsonObject root) => 1;

    public override void Apply(JsonObject root, double value, bool relative, IReadOnlyList<string>? words)
    {
        var layout = (JsonObject)root["layout"]!;
        if (layout["materials"] is not JsonObject materials) layout["materials"] = materials = [];
        if (materials[Material] is JsonObject own)
        {
            foreach (var point in own["table"] is JsonArray table ? table.OfType<JsonObject>() : [own]) Scale(point, value);
            return;
        }
        var builtIn = Materials.Find(Material)!;
        materials[Material] = new JsonObject { ["inPlane"] = builtIn.Conductivity.InPlane * value, ["through"] = builtIn.Conductivity.Through * value };
        foreach (var row in (JsonArray)layout["stack"]!)
        {
            if (row!["material"] is null && row["conductivity"] is null && UsualOf(row) == Material) row["material"] = Material;
        }
    }

    /// <summary>The material of a stack row that names none.</summary>
    public static string UsualOf(JsonNode row) => row["kind"]!.GetValue<string>() switch { "mask" => "solder-mask", "copper" => "copper", _ => "fr4" };

    private static void Scale(JsonObject conductivity, double factor)
    {
        foreach (string key in (string[])["inPlane", "through"]) conductivity[key] = conductivity[key]!.GetValue<double>() * factor;
    }
}

/// <summary>The watts of all parts at once, as multiples of the base's.</summary>
/// <param name="Watts">Of the base, by id.</param>
internal sealed record AllWattsTarget(IReadOnlyDictionary<string, double> Watts) : AxisTarget("all watts", "times", false)
{
    public override double? Base(JsonObject root) => 1;

    public override void Apply(JsonObject root, double value, bool relative, IReadOnlyList<string>? words)
    {
        if (root["conditions"]!["watts"] is not JsonObject map) root["conditions"]!["watts"] = map = [];
        foreach (var (id, watts) in Watts) map[id] = value * watts;
    }
}
