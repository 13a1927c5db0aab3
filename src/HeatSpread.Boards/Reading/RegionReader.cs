using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>Reads the Polygon and MultiPolygon geometries of RFC 7946, and positions.</summary>
internal static class RegionReader
{
    private static readonly string[] Keys = ["type", "coordinates"];

    /// <summary>The region; without the polygons that cannot be read, whose faults are then noted.</summary>
    public static Region Read(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, Keys);
        string type = members.RequiredText("type");
        var inside = at["coordinates"];
        if (!members.Require("coordinates")) return new Region([]);
        var coordinates = members.Value("coordinates");
        switch (type)
        {
            case "Polygon":
                return new Region(ReadPolygon(coordinates, inside, state) is { } polygon ? [polygon] : []);
            case "MultiPolygon":
                var region = ReadPolygons(coordinates, inside, state);
                if (region.Polygons.Count == 1) state.Faults.NoteMultiPolygonOfOne(at);
                return region;
            default:
                state.Faults.AddUnreadable(at["type"], $"`type` must be \"Polygon\" or \"MultiPolygon\"; found {Phrase.Quoted(type)}.");
                state.Faults.MarkUnreadable(at);
                return new Region([]);
        }
    }

    /// <summary>A position <c>[x, y]</c>; NaN where it cannot be read.</summary>
    public static Point ReadPosition(JsonElement json, JsonPointer at, ReadingState state)
    {
        if (TryReadPosition(json, out var p)) return p;
        FaultPosition(json, at, state);
        return new Point(double.NaN, double.NaN);
    }

    /// <summary>Positions one after the other, as those of a ring or a track; null where one cannot be read.</summary>
    public static Point[]? ReadPositions(JsonElement json, JsonPointer at, ReadingState state)
    {
        if (!RequireArray(json, at, "positions [x, y]", state)) return null;
        int count = json.GetArrayLength();
        if (count > state.Limits.RingVertices)
        {
            state.Faults.AddUnreadable(at, $"May hold at most {state.Limits.RingVertices} positions (limit RingVertices); found {count}.");
            return null;
        }
        if (!state.CountVertices(count, at)) return null;
        var points = new Point[count];
        bool sound = true;
        int i = 0;
        foreach (var position in json.EnumerateArray())
        {
            if (!TryReadPosition(position, out points[i]))
            {
                FaultPosition(position, at[i], state);
                sound = false;
            }
            i++;
        }
        return sound ? points : null;
    }

    private static Region ReadPolygons(JsonElement json, JsonPointer at, ReadingState state)
    {
        if (!RequireArray(json, at, "polygons", state)) return new Region([]);
        if (json.GetArrayLength() == 0) state.Faults.AddUnreadable(at, "Must hold at least one polygon; it is empty.");
        var polygons = new List<Polygon>();
        int i = 0;
        foreach (var polygon in json.EnumerateArray())
        {
            // an unreadable polygon keeps its place, so that the rings after it keep their pointers
            polygons.Add(ReadPolygon(polygon, at[i++], state) ?? new Polygon([]));
        }
        return new Region(polygons);
    }

    private static Polygon? ReadPolygon(JsonElement json, JsonPointer at, ReadingState state)
    {
        if (!RequireArray(json, at, "rings", state)) return null;
        if (json.GetArrayLength() == 0)
        {
            state.Faults.AddUnreadable(at, "Must hold at least one ring; it is empty.");
            return null;
        }
        var rings = new List<IReadOnlyList<Point>>();
        foreach (var ring in json.EnumerateArray()) rings.Add(ReadRing(ring, at[rings.Count], state));
        return new Polygon(rings[0], rings[1..]);
    }

    /// <summary>The ring without its repeated last position; empty where it cannot be read.</summary>
    private static Point[] ReadRing(JsonElement json, JsonPointer at, ReadingState state)
    {
        if (ReadPositions(json, at, state) is not { } points)
        {
            state.Faults.MarkUnreadable(at);
            return [];
        }
        if (points.Length < 4)
        {
            state.Faults.AddUnreadable(at, $"A ring must have at least 4 positions, the last equal to the first; found {points.Length}.");
            return [];
        }
        if (points[0] == points[^1]) return points[..^1];
        state.Faults.AddUnreadable(at, $"A ring must be closed, its last position equal to its first; found {Phrase.Of(points[0])} and {Phrase.Of(points[^1])}.");
        return [];
    }

    private static bool TryReadPosition(JsonElement json, out Point p)
    {
        p = default;
        if (json.ValueKind != JsonValueKind.Array || json.GetArrayLength() != 2) return false;
        var (x, y) = (json[0], json[1]);
        if (x.ValueKind != JsonValueKind.Number || y.ValueKind != JsonValueKind.Number || !x.TryGetDouble(out double px) || !y.TryGetDouble(out double py)) return false;
        p = new Point(px == 0 ? 0 : px, py == 0 ? 0 : py);
        return double.IsFinite(px) && double.IsFinite(py);
    }

    private static void FaultPosition(JsonElement json, JsonPointer at, ReadingState state)
    {
        if (json.ValueKind != JsonValueKind.Array || json.GetArrayLength() != 2)
        {
            state.Faults.AddUnreadable(at, $"A position must be two numbers [x, y]; found {Phrase.Found(json)}.");
            return;
        }
        for (int i = 0; i < 2; i++) JsonMembers.ReadNumber(json[i], at[i], state);
    }

    private static bool RequireArray(JsonElement json, JsonPointer at, string of, ReadingState state)
    {
        if (json.ValueKind == JsonValueKind.Array) return true;
        state.Faults.AddUnreadable(at, $"Must be an array of {of}; found {Phrase.Found(json)}.");
        return false;
    }
}
