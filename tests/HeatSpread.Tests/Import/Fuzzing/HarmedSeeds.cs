using System.IO.Compression;
using System.Text;
using System.Text.Json.Nodes;

namespace HeatSpread.Tests.Import.Fuzzing;

/// <summary>Sound requests and archives to be harmed.</summary>
internal static class HarmedSeeds
{
    /// <summary>A layout with one of nearly everything, and conditions.</summary>
    public const string Request = """
        { "layout": { "name": "harmed", "revision": "A", "unit": "mm",
          "outline": { "type": "Polygon", "coordinates": [[[0,0],[20,0],[20,15],[0,15],[0,0]],[[9,9],[10,9],[10,10],[9,10],[9,9]]] },
          "materials": { "core": { "inPlane": 0.9, "through": 0.35, "joulesPerM3K": 2e6 } },
          "stack": [ { "kind": "mask", "thicknessUm": 20 }, { "kind": "copper", "name": "L1", "thicknessUm": 35, "between": "fr4" }, { "kind": "dielectric", "thicknessUm": 1500, "material": "core" },
                     { "kind": "copper", "name": "L2", "thicknessUm": 35, "conductivity": 380 } ],
          "nets": [ { "name": "GND" }, { "name": "OUT", "keepApartFrom": ["GND"] }, { "name": "SW", "fixedArea": true } ],
          "copper": [ { "layer": "L1", "net": "GND", "area": { "type": "MultiPolygon", "coordinates": [[[[1,1],[8,1],[8,14],[1,14],[1,1]]],[[[12,1],[19,1],[19,5],[12,5],[12,1]]]] } },
                      { "layer": "L1", "net": "OUT", "track": { "path": [[1,7],[8,7.5],[15,12]], "width": 0.3 }, "clearance": 0.2 },
                      { "layer": "L2", "clear": true, "area": { "type": "Polygon", "coordinates": [[[2,2],[3,2],[3,3],[2,2]]] } } ],
          "vias": [ { "net": "GND", "from": "L1", "to": "L2", "drill": 0.3, "platingUm": 25, "fill": "resin", "pad": 0.6, "clearance": 0.2, "at": [[5,5],[6,5]] },
                    { "net": "GND", "drill": 0.4, "platingUm": 20, "fill": { "conductivity": 3 }, "array": { "origin": [2,2], "columns": 3, "rows": 2, "pitch": [1,1] } } ],
          "parts": [ { "id": "U1", "kind": "ic", "side": "top", "watts": 1.4, "limitCelsius": 150, "body": { "type": "Polygon", "coordinates": [[[2,2],[6,2],[6,6],[2,6],[2,2]]] },
                       "terminals": [ { "name": "1", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[3,3],[5,3],[5,5],[3,5],[3,3]]] } }, { "name": "2", "net": "OUT", "pad": { "type": "Polygon", "coordinates": [[[7,7],[8,7],[8,8],[7,8],[7,7]]] } } ],
                       "network": { "nodes": ["junction","case"], "links": [ { "from": "junction", "to": "terminal:1", "kelvinPerWatt": 4 }, { "from": "junction", "to": "case", "kelvinPerWatt": 20 }, { "from": "case", "to": "ambient", "kelvinPerWatt": 400 } ],
                                    "heatAt": { "junction": 0.9, "case": 0.1 } } },
                     { "id": "J2", "kind": "plug", "side": "top", "watts": 0, "terminals": [ { "name": "1", "net": "OUT", "pad": { "type": "Polygon", "coordinates": [[[14,11],[16,11],[16,13],[14,13],[14,11]]] } } ] } ],
          "probes": [ { "name": "TP1", "layer": "L2", "at": [10,5] } ] },
          "conditions": { "ambientCelsius": 25, "pressureKilopascal": 95,
            "surfaces": { "top": { "stillAir": { "orientation": "faceUp" }, "emissivity": 0.9, "surroundingsCelsius": 20 }, "bottom": { "movingAir": { "metresPerSecond": 1.5, "along": "x" }, "emissivity": 0.8 }, "edges": { "filmWattsPerM2K": 5 } },
            "contacts": [ { "name": "boss", "side": "bottom", "area": { "type": "Polygon", "coordinates": [[[1,1],[3,1],[3,3],[1,3],[1,1]]] }, "wattsPerM2K": 2000, "sinkCelsius": 40 } ],
            "currents": [ { "name": "load", "net": "OUT", "amps": 2, "from": ["U1:2"], "to": ["J2:1"] } ], "watts": { "U1": 1.9 }, "limits": { "boardCelsius": 120 } } }
        """;

    private static readonly string[] JsonValues = ["0", "-1", "1", "7", "0.1", "1e300", "-1e300", "1e-300", "2147483648", "null", "true", "\"\"", "\"GND\"", "\"L1\"", "\"U1:1\"", "\"none\"", "[]", "{}", "[[0,0]]", "[[0,0],[9,0],[9,9],[0,0]]"];

    /// <summary>The request with one to three values replaced, dropped, or put in the place of others: still JSON, so that the checks of its meaning are met.</summary>
    public static byte[] ChangedRequest(Random random)
    {
        var root = JsonNode.Parse(Request)!;
        for (int change = random.Next(1, 4); change > 0; change--)
        {
            var places = Places(root).ToList();
            if (places.Count == 0) break; // everything has been dropped
            var (parent, key, index) = places[random.Next(places.Count)];
            var (otherParent, otherKey, otherIndex) = places[random.Next(places.Count)];
            var value = random.Next(3) == 0 ? (otherKey is null ? otherParent[otherIndex] : otherParent[otherKey])?.DeepClone() : JsonNode.Parse(JsonValues[random.Next(JsonValues.Length)]);
            bool drops = random.Next(8) == 0;
            if (parent is JsonArray array)
            {
                if (drops) array.RemoveAt(index);
                else array[index] = value;
            }
            else if (drops) parent.AsObject().Remove(key!);
            else parent[key!] = value;
        }
        return Encoding.UTF8.GetBytes(root.ToJsonString());
    }

    private static IEnumerable<(JsonNode Parent, string? Key, int Index)> Places(JsonNode node) => node switch
    {
        JsonObject members => members.SelectMany(member => (member.Value is null ? [] : Places(member.Value)).Prepend((node, member.Key, 0))),
        JsonArray items => items.SelectMany((item, index) => (item is null ? [] : Places(item)).Prepend((node, null, index))),
        _ => [],
    };

    /// <summary>Words of requests.</summary>
    public static string[] JsonWords { get; } =
        ["{", "}", "[", "]", ",", ":", "null", "true", "1e308", "-1e308", "1e-320", "-0", "NaN", "Infinity", "\"\"", "\"net\": \"GND\",", "\"at\": [[5,5]],", "[0,0],", "\\u0000", "\\ud800", "\"terminal:9\"", "\"mm\"", "\"inch\"", "\"none\"", "[[[[", "é", "\uFEFF"];

    /// <summary>Words of archives: signatures, sizes, paths that lead out.</summary>
    public static byte[][] ArchiveWords { get; } =
    [
        [(byte)'P', (byte)'K', 3, 4], [(byte)'P', (byte)'K', 1, 2], [(byte)'P', (byte)'K', 5, 6], [(byte)'P', (byte)'K', 6, 6], [(byte)'P', (byte)'K', 6, 7], [0xFF, 0xFF, 0xFF, 0xFF], [0, 0, 0, 0], [0xFF, 0xFF, 0xFF, 0x7F], [0, 8], [0, 9], [1, 0],
        [0x1F, 0x8B, 8], "../"u8.ToArray(), "C:"u8.ToArray(), "/"u8.ToArray(), "\\"u8.ToArray(),
    ];

    /// <summary>A ZIP of packed and stored files, folders and a gzip; one of an empty file alone; a gzip.</summary>
    public static IReadOnlyList<byte[]> Archives { get; } = [Zip(("gerber/top.gbr", Text(300), true), ("gerber/", [], false), ("drill.drl", Text(40), false), ("board.xml.gz", GZip(Text(200)), false), ("__MACOSX/x", Text(3), true)), Zip(("empty", [], false)), GZip(Text(500))];

    private static byte[] Text(int lines) => Encoding.ASCII.GetBytes(string.Concat(Enumerable.Range(0, lines).Select(line => $"X{line * 7919 % 1000}Y{line}D01*\n")));

    private static byte[] Zip(params (string Name, byte[] Content, bool Packed)[] files)
    {
        var stream = new MemoryStream();
        using (var archive = new ZipArchive(stream, ZipArchiveMode.Create, leaveOpen: true))
        {
            foreach (var (name, content, packed) in files)
            {
                var entry = archive.CreateEntry(name, packed ? CompressionLevel.Optimal : CompressionLevel.NoCompression);
                entry.LastWriteTime = new DateTimeOffset(2026, 1, 1, 0, 0, 0, TimeSpan.Zero); // the same bytes every time
                using var target = entry.Open();
                target.Write(content);
            }
        }
        return stream.ToArray();
    }

    private static byte[] GZip(byte[] content)
    {
        var stream = new MemoryStream();
        using (var packing = new GZipStream(stream, CompressionLevel.Optimal)) packing.Write(content);
        return stream.ToArray();
    }
}
