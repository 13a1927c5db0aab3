using System.Globalization;

namespace HeatSpread.Service.Tests;

/// <summary>Small boards for these tests.</summary>
internal static class Boards
{
    public const string Conditions = """
        { "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": 12 }, "bottom": { "filmWattsPerM2K": 8 }, "edges": { "filmWattsPerM2K": 0 } } }
        """;

    /// <summary>Films that depend on temperature: nothing can be superposed.</summary>
    public static string StillAir { get; } = Conditions.Replace("\"filmWattsPerM2K\": 12", "\"stillAir\": { \"orientation\": \"faceUp\" }", StringComparison.Ordinal);

    /// <summary>Two layers, one part of a network, one without, a via group, a probe; 40 × 30 mm.</summary>
    /// <param name="name">Different names make different ids.</param>
    /// <param name="upper">Name of the upper layer.</param>
    /// <param name="watts">Of the part U1.</param>
    public static string Plate(string name, string upper = "L1", double watts = 1.2) => string.Create(CultureInfo.InvariantCulture, $$"""
        {
          "name": "{{name}}", "revision": "A", "unit": "mm",
          "outline": { "type": "Polygon", "coordinates": [[[0, 0], [40, 0], [40, 30], [0, 30], [0, 0]]] },
          "stack": [
            { "kind": "mask", "thicknessUm": 20 },
            { "kind": "copper", "name": "{{upper}}", "thicknessUm": 35 },
            { "kind": "dielectric", "thicknessUm": 1500, "material": "fr4" },
            { "kind": "copper", "name": "L2", "thicknessUm": 35 }
          ],
          "nets": [{ "name": "GND" }, { "name": "OUT" }],
          "copper": [
            { "layer": "{{upper}}", "net": "GND", "area": { "type": "Polygon", "coordinates": [[[1, 1], [21, 1], [21, 29], [1, 29], [1, 1]]] } },
            { "layer": "{{upper}}", "net": "OUT", "area": { "type": "Polygon", "coordinates": [[[22, 1], [39, 1], [39, 29], [22, 29], [22, 1]]] } },
            { "layer": "L2", "net": "GND", "area": { "type": "Polygon", "coordinates": [[[1, 1], [39, 1], [39, 29], [1, 29], [1, 1]]] } }
          ],
          "vias": [
            { "net": "GND", "drill": 0.3, "platingUm": 25, "array": { "origin": [5, 5], "columns": 4, "rows": 3, "pitch": [1, 1] } },
            { "net": "GND", "drill": 0.5, "platingUm": 25, "at": [[15, 25]] }
          ],
          "parts": [
            { "id": "U1", "kind": "ic", "side": "top", "watts": {{watts}}, "limitCelsius": 150,
              "body": { "type": "Polygon", "coordinates": [[[4, 4], [9, 4], [9, 8], [4, 8], [4, 4]]] },
              "terminals": [{ "name": "1", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[5, 5], [8, 5], [8, 7], [5, 7], [5, 5]]] } }],
              "network": { "nodes": ["junction", "case"], "links": [
                { "from": "junction", "to": "terminal:1", "kelvinPerWatt": 4 }, { "from": "junction", "to": "case", "kelvinPerWatt": 20 },
                { "from": "case", "to": "ambient", "kelvinPerWatt": 400 }], "heatAt": "junction" } },
            { "id": "L5", "kind": "inductor", "side": "top", "watts": 0.4,
              "terminals": [{ "name": "1", "net": "OUT", "pad": { "type": "Polygon", "coordinates": [[[28, 13], [32, 13], [32, 17], [28, 17], [28, 13]]] } }] }
          ],
          "probes": [{ "name": "TP1", "layer": "L2", "at": [20, 15] }]
        }
        """);

    public static string Request(string layout, string conditions = Conditions, string grid = """{ "pitchMm": 0.5 }""") =>
        $$"""{ "layout": {{layout}}, "conditions": {{conditions}}, "grid": {{grid}} }""";

    /// <summary>A request that takes the solver a long time.</summary>
    public static string SlowRequest(string name) => Request(Plate(name), grid: """{ "pitchMm": 0.03 }""");
}
