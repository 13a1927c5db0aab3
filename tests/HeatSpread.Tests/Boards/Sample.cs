using System.Text;
using System.Text.Json.Nodes;

namespace HeatSpread.Tests.Boards;

/// <summary>A small sound layout and sound conditions for it, to be spoilt by tests.</summary>
internal static class Sample
{
    public const string Layout = """
        {
          "name": "sample", "revision": "B", "unit": "mm",
          "outline": { "type": "Polygon", "coordinates": [[[0,0],[60,0],[60,40],[0,40],[0,0]], [[50,30],[55,30],[55,35],[50,35],[50,30]]] },
          "materials": { "core-x": { "inPlane": 0.9, "through": 0.35 } },
          "stack": [
            { "kind": "mask", "thicknessUm": 20 },
            { "kind": "copper", "name": "L1", "thicknessUm": 50 },
            { "kind": "dielectric", "thicknessUm": 200, "material": "core-x" },
            { "kind": "copper", "name": "L2", "thicknessUm": 35, "conductivity": 380, "between": "fr4" },
            { "kind": "dielectric", "thicknessUm": 900, "conductivity": { "inPlane": 0.7, "through": 0.25 } },
            { "kind": "copper", "name": "L3", "thicknessUm": 35 }
          ],
          "nets": [ { "name": "GND" }, { "name": "AGND", "keepApartFrom": ["GND"] }, { "name": "SW", "fixedArea": true } ],
          "copper": [
            { "layer": "L1", "net": "GND", "area": { "type": "Polygon", "coordinates": [[[1,1],[30,1],[30,30],[1,30],[1,1]]] } },
            { "layer": "L1", "net": "SW", "track": { "path": [[1,2],[9,2]], "width": 0.2 }, "clearance": 0.2 },
            { "layer": "L1", "clear": true, "area": { "type": "MultiPolygon", "coordinates": [[[[2,5],[3,5],[3,6],[2,5]]]] } }
          ],
          "vias": [
            { "net": "GND", "from": "L1", "to": "L3", "drill": 0.3, "platingUm": 25, "fill": "resin", "pad": 0.6, "clearance": 0.2, "at": [[5,5],[6,5]] },
            { "net": "GND", "drill": 0.3, "array": { "origin": [10,10], "columns": 4, "rows": 3, "pitch": [1.0, 1.0] } }
          ],
          "parts": [
            { "id": "U1", "kind": "ic", "side": "top", "body": { "type": "Polygon", "coordinates": [[[4,4],[9,4],[9,9],[4,9],[4,4]]] },
              "terminals": [ { "name": "GND", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[5,5],[8,5],[8,8],[5,8],[5,5]]] } } ],
              "watts": 1.4, "limitCelsius": 150,
              "network": { "nodes": ["junction", "case"],
                           "links": [ { "from": "junction", "to": "terminal:GND", "kelvinPerWatt": 4.0 },
                                      { "from": "junction", "to": "case", "kelvinPerWatt": 22.0 },
                                      { "from": "case", "to": "ambient", "kelvinPerWatt": 400.0 } ],
                           "heatAt": { "junction": 0.9, "case": 0.1 } } },
            { "id": "R1", "side": "bottom", "body": { "type": "Polygon", "coordinates": [[[20,20],[22,20],[22,21],[20,21],[20,20]]] }, "watts": 0.1 }
          ],
          "probes": [ { "name": "TP1", "layer": "L1", "at": [12.0, 8.5] } ]
        }
        """;

    public const string Conditions = """
        {
          "ambientCelsius": 25,
          "surfaces": {
            "top":    { "stillAir": { "orientation": "vertical" }, "emissivity": 0.8 },
            "bottom": { "filmWattsPerM2K": 10 },
            "edges":  { "filmWattsPerM2K": 0 }
          },
          "contacts": [ { "name": "boss", "side": "bottom", "area": { "type": "Polygon", "coordinates": [[[0,0],[5,0],[5,5],[0,5],[0,0]]] },
                          "wattsPerM2K": 2000, "sinkCelsius": 40 } ],
          "watts": { "U1": 1.9 },
          "limits": { "boardCelsius": 120 }
        }
        """;

    public static byte[] Utf8(string json) => Encoding.UTF8.GetBytes(json);

    /// <summary>The sample after edits, each a JSON Pointer and the JSON that takes its place there (null: taken away; <c>-</c> as last token: added to an array).</summary>
    public static byte[] Edited(string json, params (string Pointer, string? Value)[] edits)
    {
        var root = JsonNode.Parse(json)!;
        foreach (var (pointer, value) in edits)
        {
            string[] tokens = pointer.Split('/');
            var parent = tokens[1..^1].Aggregate(root, (node, token) => node is JsonArray array ? array[int.Parse(token, null)]! : node[token]!);
            Put(parent, tokens[^1], value is null ? null : JsonNode.Parse(value), value is null);
        }
        return Utf8(root.ToJsonString());
    }

    private static void Put(JsonNode parent, string token, JsonNode? value, bool takeAway)
    {
        if (parent is JsonArray array)
        {
            if (token == "-") array.Add(value);
            else if (takeAway) array.RemoveAt(int.Parse(token, null));
            else array[int.Parse(token, null)] = value;
        }
        else if (takeAway)
        {
            parent.AsObject().Remove(token);
        }
        else
        {
            parent[token] = value;
        }
    }
}
