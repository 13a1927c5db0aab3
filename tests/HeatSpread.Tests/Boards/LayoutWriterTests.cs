using System.Text;
using System.Text.Json;
using CsCheck;
using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Boards;

public sealed class LayoutWriterTests
{
    private static readonly Gen<double> Number = Gen.OneOf(Gen.Double[-100, 100], Gen.Int[-100, 100].Select(i => (double)i), Gen.Const(-0.0), Gen.Const(1e-17));
    private static readonly Gen<double> Positive = Gen.Double[1e-3, 100];
    private static readonly Gen<string> Name = Gen.OneOf(Gen.String[Gen.Char['!', '~'], 1, 8], OneOf("µ-Größe", "a/b~c", "\"quoted\"", "𝛺"));
    private static readonly Gen<Point> Place = Gen.Select(Number, Number).Select((x, y) => new Point(x, y));
    private static readonly Gen<IReadOnlyList<Point>> Ring = Place.List[3, 6].Where(ring => ring[0] != ring[^1]).Select(ring => (IReadOnlyList<Point>)ring);
    private static readonly Gen<Region> Shape = Gen.Select(Ring, Ring.List[0, 2]).Select((outer, holes) => new Polygon(outer, holes)).List[1, 3].Select(polygons => new Region(polygons));

    private static readonly Gen<StackRowDocument> Row = Gen.Select(Gen.Int[0, 5], Name, Positive, Positive).Select((form, name, a, b) => form switch
    {
        0 => new StackRowDocument { Kind = "mask", ThicknessUm = a },
        1 => new StackRowDocument { Kind = "dielectric", Name = name, ThicknessUm = a, Material = name },
        2 => new StackRowDocument { Kind = "dielectric", ThicknessUm = a, Conductivity = new(a, b) },
        3 => new StackRowDocument { Kind = "copper", Name = name, ThicknessUm = a, CopperConductivity = b },
        4 => new StackRowDocument { Kind = "copper", Name = name, ThicknessUm = a, Between = name },
        _ => new StackRowDocument { Kind = "copper", Name = name, ThicknessUm = a, Material = "aluminium" },
    });

    private static readonly Gen<CopperDocument> Copper = Gen.Select(Name, Name.Null(), Gen.Bool, Shape, Place.List[1, 4], Positive).Select((layer, net, isArea, area, path, width) =>
        new CopperDocument { Layer = layer, Net = net, Clear = isArea && net is null, Area = isArea ? area : null, Track = isArea ? null : new TrackDocument(path, width), Clearance = isArea ? 0 : width });

    private static readonly Gen<ViaDocument> Via = Gen.Select(Gen.Bool, OneOf<string?>("none", "resin", "copper", null), Positive, Place.List[1, 4], Place, Name.Null()).Select((isArray, fill, size, at, origin, layer) => new ViaDocument
    {
        From = layer,
        Drill = size,
        PlatingUm = isArray ? 25 : 0,
        PlatingConductivity = isArray ? size : null,
        Fill = fill,
        FillConductivity = fill is null ? size : null,
        Pad = isArray ? size : 0,
        At = isArray ? null : at,
        Array = isArray ? new ViaArrayDocument(origin, 2, 3, size, size) : null,
    });

    private static readonly Gen<PartDocument> Part = Gen.Select(Name, Shape, Gen.Bool, Positive, Name.List[1, 3].Where(nodes => nodes.Distinct().Count() == nodes.Count)).Select((id, shape, full, number, nodes) => new PartDocument
    {
        Id = id,
        Kind = full ? "ic" : "",
        Side = full ? "bottom" : "top",
        Body = full ? shape : null,
        Terminals = full ? [new TerminalDocument("1", null, shape), new TerminalDocument(id, id, shape) { Side = "both" }] : [],
        Watts = full ? number : 0,
        LimitCelsius = full ? -0.0 : null,
        Network = full ? new NetworkDocument(nodes, [new LinkDocument(nodes[0], "board", number)], nodes.ToDictionary(node => node, _ => 1.0 / nodes.Count)) : null,
    });

    private static readonly Gen<LayoutDocument> Layout = Gen.Select(
        Gen.Select(Name, OneOf("mm", "inch"), Shape),
        Gen.Select(Row.List[1, 4], Copper.List[0, 4], Via.List[0, 3], Part.List[0, 3]),
        Gen.Select(Name.List[0, 3], Place)).Select((head, lists, names) => new LayoutDocument
        {
            Name = head.Item1,
            Unit = head.Item2,
            Outline = head.Item3,
            Materials = names.Item1.Distinct().ToDictionary(name => name, _ => new MaterialDocument { Conductivity = new Conductivity(1.5, 0.5) }),
            Stack = lists.Item1,
            Nets = [.. names.Item1.Select((name, i) => new NetDocument(name, i == 0 ? [] : names.Item1, i == 1))],
            Copper = lists.Item2,
            Vias = lists.Item3,
            Parts = lists.Item4,
            Probes = [.. names.Item1.Select(name => new ProbeDocument(name, "L1", names.Item2))],
        });

    [Fact]
    public void What_is_written_reads_back_equal_and_writes_the_same_bytes() => Layout.Sample(document =>
    {
        byte[] written = LayoutWriter.Write(document);
        var reading = LayoutReader.Read(written);

        Assert.Empty(reading.Faults);
        Assert.Equal(Dump(document), Dump(reading.Value!));
        Assert.Equal(written, LayoutWriter.Write(reading.Value!));
    }, iter: 2_000, threads: 1);

    [Fact]
    public void Keys_are_in_fixed_order_and_defaults_left_out()
    {
        const string Canonical = """{"unit":"mm","outline":{"type":"Polygon","coordinates":[[[0,0],[10,0],[10,10],[0,0]]]},"stack":[{"kind":"copper","name":"L1","thicknessUm":35}],"vias":[{"drill":0.3,"at":[[1,0.5]]}],"parts":[{"id":"R1","body":{"type":"Polygon","coordinates":[[[0,0],[10,0],[10,10],[0,0]]]}}]}""";
        const string Verbose = """
            { "parts": [ { "watts": 0.0, "id": "R1", "side": "top", "kind": "", "terminals": [], "body": { "coordinates": [[[0,-0.0],[1e1,0],[10.0,10],[0,0]]], "type": "Polygon" } } ],
              "vias": [ { "at": [[1.0,5e-1]], "drill": 0.30, "platingUm": 25, "fill": "none", "pad": 0, "clearance": 0 } ], "copper": [], "nets": [], "materials": {},
              "outline": { "type": "MultiPolygon", "coordinates": [[[[0,0],[10,0],[10,10],[0,0]]]] }, "stack": [ { "thicknessUm": 35, "name": "L1", "kind": "copper" } ] }
            """;

        Assert.Equal(Canonical, Encoding.UTF8.GetString(LayoutWriter.Write(LayoutReader.Read(Sample.Utf8(Verbose)).Value!)));
    }

    [Fact]
    public void The_sample_keeps_its_board()
    {
        var first = LayoutReading.ReadBoard(Sample.Utf8(Sample.Layout));
        var again = LayoutReading.ReadBoard(LayoutWriter.Write(first.Document!));

        Assert.Equal(JsonSerializer.Serialize(first.Board), JsonSerializer.Serialize(again.Board));
    }

    private static Gen<T> OneOf<T>(params T[] values) => Gen.Int[0, values.Length - 1].Select(i => values[i]);

    /// <summary>All that a document holds, as text; names in maps in order, 0 for -0.</summary>
    private static string Dump(LayoutDocument document) => JsonSerializer.Serialize(document with
    {
        Materials = document.Materials.OrderBy(pair => pair.Key, StringComparer.Ordinal).ToDictionary(),
        Parts = [.. document.Parts.Select(part => part with { Network = part.Network is { } network ? network with { HeatAt = network.HeatAt.OrderBy(pair => pair.Key, StringComparer.Ordinal).ToDictionary() } : null })],
    }).Replace(":-0,", ":0,", StringComparison.Ordinal).Replace(":-0}", ":0}", StringComparison.Ordinal);
}
