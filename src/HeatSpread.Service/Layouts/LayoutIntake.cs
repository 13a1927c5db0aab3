using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Import;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Layouts;

/// <summary>What came of a posted layout: exactly one of layout and problem.</summary>
/// <param name="Layout">Sound, and not yet stored.</param>
/// <param name="Problem">Every fault.</param>
/// <param name="Warnings">What an import guessed, skipped or repaired.</param>
internal sealed record IntakeResult(LayoutInUse? Layout, Problem? Problem, IReadOnlyList<string> Warnings);

/// <summary>From posted bytes to a checked layout.</summary>
internal static class LayoutIntake
{
    /// <summary>Of a layout as JSON.</summary>
    public static IntakeResult Read(ReadOnlyMemory<byte> json)
    {
        if (JsonBody.SyntaxFault(json) is { } malformed) return Refuse(malformed);
        var document = LayoutReader.Read(json);
        if (document.Value is null) return Refuse(Problem.Of(ProblemKind.InvalidLayout, document.Faults));
        return Check(document.Value, ProblemKind.InvalidLayout, []);
    }

    /// <summary>Of fabrication files and their description.</summary>
    public static IntakeResult Import(ReadOnlyMemory<byte> descriptionJson, IReadOnlyList<FabricationFile> files, CancellationToken cancellationToken)
    {
        if (JsonBody.SyntaxFault(descriptionJson) is { } malformed) return Refuse(malformed);
        var description = LayoutReader.ReadDescription(descriptionJson);
        if (description.Value is null) return Refuse(Problem.Of(ProblemKind.InvalidFabricationData, description.Faults));
        var import = FabricationImport.Import(description.Value, files, cancellationToken);
        if (import.Layout is null) return Refuse(Problem.Of(ProblemKind.InvalidFabricationData, import.Faults));
        return Check(import.Layout, ProblemKind.InvalidFabricationData, import.Warnings);
    }

    private static IntakeResult Check(LayoutDocument document, ProblemKind kind, IReadOnlyList<string> warnings)
    {
        var board = BoardBuilder.Build(document);
        if (board.Value is null) return Refuse(Problem.Of(kind, board.Faults));
        byte[] canonical = LayoutWriter.Write(document);
        return new IntakeResult(new LayoutInUse(ContentId.Of(canonical), document.Unit, board.Value, canonical), null, warnings);
    }

    private static IntakeResult Refuse(Problem problem) => new(null, problem, []);
}

/// <summary>What is common to JSON bodies.</summary>
internal static class JsonBody
{
    /// <summary>Says where the text stops being JSON; null where it is JSON throughout.</summary>
    public static Problem? SyntaxFault(ReadOnlyMemory<byte> json)
    {
        try
        {
            var reader = new Utf8JsonReader(json.Span);
            while (reader.Read())
            {
            }
            return null;
        }
        catch (JsonException fault)
        {
            string place = fault.LineNumber is { } line ? $"line {line + 1}, byte {(fault.BytePositionInLine ?? 0) + 1}" : "the end";
            string reason = fault.Message.Split(" LineNumber:")[0];
            return new Problem(ProblemKind.MalformedJson, $"At {place}: {reason}");
        }
    }
}
