using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>
/// Writes a layout as canonical JSON: the same layout gives the same bytes, and reading them gives the same layout. Compact, keys in fixed order,
/// defaults left out, numbers in the shortest form that reads back the same.
/// </summary>
public static class LayoutWriter
{
    /// <returns>UTF-8.</returns>
    public static byte[] Write(LayoutDocument document)
    {
        ArgumentNullException.ThrowIfNull(document);
        using var buffer = new MemoryStream();
        using (var json = new Utf8JsonWriter(buffer))
        {
            json.WriteStartObject();
            WriteText(json, "name", document.Name);
            WriteText(json, "revision", document.Revision);
            json.WriteString("unit", document.Unit);
            WriteRegion(json, "outline", document.Outline);
            WriteMaterials(json, document.Materials);
            WriteList(json, "stack", document.Stack, WriteStackRow);
            WriteList(json, "nets", document.Nets, WriteNet);
            WriteList(json, "copper", document.Copper, WriteCopper);
            WriteList(json, "vias", document.Vias, WriteVia);
            WriteList(json, "parts", document.Parts, WritePart);
            WriteList(json, "probes", document.Probes, WriteProbe);
            json.WriteEndObject();
        }
        return buffer.ToArray();
    }

    /// <summary>Writes what an edit adds, as members <c>copper</c> and <c>vias</c> of an object, in the form that they have in a layout.</summary>
    /// <returns>UTF-8.</returns>
    public static byte[] Write(LayoutEdit edit)
    {
        ArgumentNullException.ThrowIfNull(edit);
        using var buffer = new MemoryStream();
        using (var json = new Utf8JsonWriter(buffer))
        {
            json.WriteStartObject();
            WriteList(json, "copper", edit.Copper, WriteCopper);
            WriteList(json, "vias", edit.Vias, WriteVia);
            json.WriteEndObject();
        }
        return buffer.ToArray();
    }

    /// <summary>Writes an area as a geometry object.</summary>
    /// <returns>UTF-8.</returns>
    public static byte[] Write(Region area)
    {
        ArgumentNullException.ThrowIfNull(area);
        using var buffer = new MemoryStream();
        using (var json = new Utf8JsonWriter(buffer))
        {
            json.WriteStartObject();
            WriteRegion(json, "area", area);
            json.WriteEndObject();
        }
        return buffer.ToArray();
    }

    private static void WriteMaterials(Utf8JsonWriter json, IReadOnlyDictionary<string, MaterialDocument> materials)
    {
        if (materials.Count == 0) return;
        json.WriteStartObject("materials");
        foreach (var (name, material) in materials.OrderBy(pair => pair.Key, StringComparer.Ordinal)) WriteMaterial(json, name, material);
        json.WriteEndObject();
    }

    private static void WriteMaterial(Utf8JsonWriter json, string name, MaterialDocument material)
    {
        json.WriteStartObject(name);
        if (material.Conductivity is { } given) WriteMembers(json, given);
        WriteNumber(json, "glassShare", material.GlassShare);
        WriteNumber(json, "resinConductivity", material.Resin);
        WriteNumber(json, "glassConductivity", material.Glass);
        WriteNumber(json, "perKelvin", material.PerKelvin);
        WriteNumber(json, "atCelsius", material.AtCelsius);
        WriteNumber(json, "joulesPerM3K", material.JoulesPerCubicMeterKelvin);
        if (material.Table.Count > 0)
        {
            json.WriteStartArray("table");
            foreach (var point in material.Table)
            {
                json.WriteStartObject();
                json.WriteNumber("celsius", point.Celsius);
                WriteMembers(json, point.Conductivity);
                json.WriteEndObject();
            }
            json.WriteEndArray();
        }
        json.WriteEndObject();
    }

    private static void WriteNumber(Utf8JsonWriter json, string key, double? value)
    {
        if (value is { } number) json.WriteNumber(key, number);
    }

    private static void WriteMembers(Utf8JsonWriter json, Conductivity conductivity)
    {
        json.WriteNumber("inPlane", conductivity.InPlane);
        json.WriteNumber("through", conductivity.Through);
    }

    private static void WriteConductivity(Utf8JsonWriter json, string key, Conductivity conductivity)
    {
        json.WriteStartObject(key);
        WriteMembers(json, conductivity);
        json.WriteEndObject();
    }

    private static void WriteStackRow(Utf8JsonWriter json, StackRowDocument row)
    {
        json.WriteString("kind", row.Kind);
        if (row.Name is not null) json.WriteString("name", row.Name);
        json.WriteNumber("thicknessUm", row.ThicknessUm);
        if (row.Material is not null) json.WriteString("material", row.Material);
        if (row.Conductivity is { } conductivity) WriteConductivity(json, "conductivity", conductivity);
        if (row.CopperConductivity is { } copper) json.WriteNumber("conductivity", copper);
        if (row.Between is not null) json.WriteString("between", row.Between);
    }

    private static void WriteNet(Utf8JsonWriter json, NetDocument net)
    {
        json.WriteString("name", net.Name);
        if (net.KeepApartFrom.Count > 0)
        {
            json.WriteStartArray("keepApartFrom");
            foreach (string other in net.KeepApartFrom) json.WriteStringValue(other);
            json.WriteEndArray();
        }
        if (net.FixedArea) json.WriteBoolean("fixedArea", true);
    }

    private static void WriteCopper(Utf8JsonWriter json, CopperDocument copper)
    {
        json.WriteString("layer", copper.Layer);
        if (copper.Net is not null) json.WriteString("net", copper.Net);
        if (copper.Clear) json.WriteBoolean("clear", true);
        if (copper.Area is not null) WriteRegion(json, "area", copper.Area);
        if (copper.Track is { } track)
        {
            json.WriteStartObject("track");
            WritePositions(json, "path", track.Path);
            json.WriteNumber("width", track.Width);
            json.WriteEndObject();
        }
        WriteUnlessDefault(json, "clearance", copper.Clearance, 0);
    }

    private static void WriteVia(Utf8JsonWriter json, ViaDocument via)
    {
        if (via.Net is not null) json.WriteString("net", via.Net);
        if (via.From is not null) json.WriteString("from", via.From);
        if (via.To is not null) json.WriteString("to", via.To);
        json.WriteNumber("drill", via.Drill);
        WriteUnlessDefault(json, "platingUm", via.PlatingUm, 25);
        if (via.PlatingConductivity is { } plating) json.WriteNumber("platingConductivity", plating);
        if (via.FillConductivity is { } fill)
        {
            json.WriteStartObject("fill");
            json.WriteNumber("conductivity", fill);
            json.WriteEndObject();
        }
        else if (via.Fill is not (null or "none"))
        {
            json.WriteString("fill", via.Fill);
        }
        WriteUnlessDefault(json, "pad", via.Pad, 0);
        WriteUnlessDefault(json, "clearance", via.Clearance, 0);
        if (via.At is not null) WritePositions(json, "at", via.At);
        if (via.Array is { } array) WriteArray(json, array);
    }

    private static void WriteArray(Utf8JsonWriter json, ViaArrayDocument array)
    {
        json.WriteStartObject("array");
        json.WritePropertyName("origin");
        WritePosition(json, array.Origin);
        json.WriteNumber("columns", array.Columns);
        json.WriteNumber("rows", array.Rows);
        json.WritePropertyName("pitch");
        WritePosition(json, new Point(array.PitchX, array.PitchY));
        json.WriteEndObject();
    }

    private static void WritePart(Utf8JsonWriter json, PartDocument part)
    {
        json.WriteString("id", part.Id);
        WriteText(json, "kind", part.Kind);
        if (part.Side != "top") json.WriteString("side", part.Side);
        if (part.Body is not null) WriteRegion(json, "body", part.Body);
        WriteList(json, "terminals", part.Terminals, WriteTerminal);
        WriteUnlessDefault(json, "watts", part.Watts, 0);
        if (part.LimitCelsius is { } limit) json.WriteNumber("limitCelsius", Plain(limit));
        if (part.Network is { } network) WriteNetwork(json, network);
    }

    private static void WriteTerminal(Utf8JsonWriter json, TerminalDocument terminal)
    {
        json.WriteString("name", terminal.Name);
        if (terminal.Net is not null) json.WriteString("net", terminal.Net);
        if (terminal.Side is not null) json.WriteString("side", terminal.Side);
        WriteRegion(json, "pad", terminal.Pad);
    }

    private static void WriteNetwork(Utf8JsonWriter json, NetworkDocument network)
    {
        json.WriteStartObject("network");
        json.WriteStartArray("nodes");
        foreach (string node in network.Nodes) json.WriteStringValue(node);
        json.WriteEndArray();
        json.WriteStartArray("links");
        foreach (var link in network.Links)
        {
            json.WriteStartObject();
            json.WriteString("from", link.From);
            json.WriteString("to", link.To);
            json.WriteNumber("kelvinPerWatt", link.KelvinPerWatt);
            json.WriteEndObject();
        }
        json.WriteEndArray();
        WriteHeat(json, network.HeatAt);
        json.WriteEndObject();
    }

    private static void WriteHeat(Utf8JsonWriter json, IReadOnlyDictionary<string, double> heatAt)
    {
        if (heatAt.Count == 1 && heatAt.First() is { Value: 1 } whole)
        {
            json.WriteString("heatAt", whole.Key);
            return;
        }
        json.WriteStartObject("heatAt");
        foreach (var (node, share) in heatAt.OrderBy(pair => pair.Key, StringComparer.Ordinal)) json.WriteNumber(node, Plain(share));
        json.WriteEndObject();
    }

    private static void WriteProbe(Utf8JsonWriter json, ProbeDocument probe)
    {
        json.WriteString("name", probe.Name);
        json.WriteString("layer", probe.Layer);
        json.WritePropertyName("at");
        WritePosition(json, probe.At);
    }

    private static void WriteRegion(Utf8JsonWriter json, string key, Region region)
    {
        json.WriteStartObject(key);
        json.WriteString("type", region.Polygons.Count == 1 ? "Polygon" : "MultiPolygon");
        json.WritePropertyName("coordinates");
        if (region.Polygons.Count != 1) json.WriteStartArray();
        foreach (var polygon in region.Polygons)
        {
            json.WriteStartArray();
            foreach (var ring in polygon.Rings) WriteRing(json, ring);
            json.WriteEndArray();
        }
        if (region.Polygons.Count != 1) json.WriteEndArray();
        json.WriteEndObject();
    }

    private static void WriteRing(Utf8JsonWriter json, IReadOnlyList<Point> ring)
    {
        json.WriteStartArray();
        foreach (var p in ring) WritePosition(json, p);
        if (ring.Count > 0) WritePosition(json, ring[0]);
        json.WriteEndArray();
    }

    private static void WritePositions(Utf8JsonWriter json, string key, IReadOnlyList<Point> points)
    {
        json.WriteStartArray(key);
        foreach (var p in points) WritePosition(json, p);
        json.WriteEndArray();
    }

    private static void WritePosition(Utf8JsonWriter json, Point p)
    {
        json.WriteStartArray();
        json.WriteNumberValue(Plain(p.X));
        json.WriteNumberValue(Plain(p.Y));
        json.WriteEndArray();
    }

    /// <summary>0 for -0, which reads back as 0.</summary>
    private static double Plain(double value) => value == 0 ? 0 : value;

    private static void WriteText(Utf8JsonWriter json, string key, string text)
    {
        if (text.Length > 0) json.WriteString(key, text);
    }

    private static void WriteUnlessDefault(Utf8JsonWriter json, string key, double value, double usual)
    {
        if (value != usual) json.WriteNumber(key, value);
    }

    private static void WriteList<T>(Utf8JsonWriter json, string key, IReadOnlyList<T> items, Action<Utf8JsonWriter, T> writeItem)
    {
        if (items.Count == 0) return;
        json.WriteStartArray(key);
        foreach (var item in items)
        {
            json.WriteStartObject();
            writeItem(json, item);
            json.WriteEndObject();
        }
        json.WriteEndArray();
    }
}
