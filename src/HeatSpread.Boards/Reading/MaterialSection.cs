using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>Materials of a layout, from JSON to document records.</summary>
internal static class MaterialSection
{
    private const int MostPoints = 100;

    private static readonly string[] Keys = ["inPlane", "through", "glassShare", "resinConductivity", "glassConductivity", "perKelvin", "atCelsius", "joulesPerM3K", "table"];
    private static readonly string[] PointKeys = ["celsius", "inPlane", "through"];

    public static MaterialDocument Read(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, Keys);
        bool isMix = members.Has("glassShare"), isTable = members.Has("table"), isGiven = !isMix && !isTable;
        foreach (string key in Keys.Where(key => members.Has(key) && !Belongs(key, isMix, isTable)))
            state.Faults.Add(at[key], $"`{key}` does not belong to a material that {(isTable ? "has a `table`" : isMix ? "has a `glassShare`" : "has neither `glassShare` nor `table`")}.");
        if (isTable && members.Value("table") is { ValueKind: JsonValueKind.Array } table && table.GetArrayLength() == 0)
            state.Faults.AddUnreadable(at["table"], "`table` must hold at least one temperature; it is empty.");
        return new MaterialDocument
        {
            Conductivity = isGiven ? new Conductivity(members.RequiredNumber("inPlane"), members.RequiredNumber("through")) : null,
            GlassShare = isMix && !isTable ? members.Number("glassShare") : null,
            Resin = members.Number("resinConductivity"),
            Glass = members.Number("glassConductivity"),
            PerKelvin = members.Number("perKelvin"),
            AtCelsius = members.Number("atCelsius"),
            JoulesPerCubicMeterKelvin = members.Number("joulesPerM3K"),
            Table = members.List("table", MostPoints, nameof(MostPoints), ReadPoint),
        };
    }

    private static bool Belongs(string key, bool isMix, bool isTable) => key switch
    {
        "table" or "joulesPerM3K" => true,
        "glassShare" => !isTable,
        "resinConductivity" or "glassConductivity" => isMix && !isTable,
        "inPlane" or "through" => !isMix && !isTable,
        _ => !isTable,
    };

    private static MaterialPoint ReadPoint(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, PointKeys);
        return new MaterialPoint(members.RequiredNumber("celsius"), new Conductivity(members.RequiredNumber("inPlane"), members.RequiredNumber("through")));
    }
}
