using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>Parts, their terminals and their inner networks, from JSON to document records.</summary>
internal static class PartSection
{
    private static readonly string[] PartKeys = ["id", "kind", "side", "body", "terminals", "watts", "limitCelsius", "network"];
    private static readonly string[] TerminalKeys = ["name", "net", "pad", "side"];
    private static readonly string[] NetworkKeys = ["nodes", "links", "heatAt"];
    private static readonly string[] LinkKeys = ["from", "to", "kelvinPerWatt"];

    public static PartDocument ReadPart(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, PartKeys);
        return new PartDocument
        {
            Id = members.RequiredText("id"),
            Kind = members.Text("kind") ?? "",
            Side = members.Text("side") ?? "top",
            Body = members.Region("body"),
            Terminals = members.List("terminals", state.Limits.Terminals, nameof(state.Limits.Terminals), ReadTerminal),
            Watts = members.Number("watts") ?? 0,
            LimitCelsius = members.Number("limitCelsius"),
            Network = members.Has("network") ? ReadNetwork(members.Value("network"), at["network"], state) : null,
        };
    }

    private static TerminalDocument ReadTerminal(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, TerminalKeys);
        return new TerminalDocument(members.RequiredText("name"), members.Text("net"), members.RequiredRegion("pad")) { Side = members.Text("side") };
    }

    private static NetworkDocument ReadNetwork(JsonElement json, JsonPointer at, ReadingState state)
    {
        var (members, limits) = (new JsonMembers(json, at, state, NetworkKeys), state.Limits);
        return new NetworkDocument(
            members.RequiredList("nodes", limits.NetworkNodes, nameof(limits.NetworkNodes), JsonMembers.ReadText),
            members.RequiredList("links", limits.NetworkLinks, nameof(limits.NetworkLinks), ReadLink),
            ReadHeat(members, at, state));
    }

    private static LinkDocument ReadLink(JsonElement json, JsonPointer at, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, LinkKeys);
        return new LinkDocument(members.RequiredText("from"), members.RequiredText("to"), members.RequiredNumber("kelvinPerWatt"));
    }

    /// <summary>One node, or nodes with their shares.</summary>
    private static IReadOnlyDictionary<string, double> ReadHeat(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (members.Value("heatAt").ValueKind == JsonValueKind.Object)
            return members.Map("heatAt", state.Limits.NetworkNodes, nameof(state.Limits.NetworkNodes), JsonMembers.ReadNumber);
        string node = members.RequiredText("heatAt");
        return new Dictionary<string, double> { [node] = 1 };
    }
}
