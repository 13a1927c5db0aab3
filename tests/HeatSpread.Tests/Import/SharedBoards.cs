using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Import;
using Xunit;

namespace HeatSpread.Tests.Import;

/// <summary>The real boards that are laid out beside the repository on the build machines; a test that needs them is skipped elsewhere.</summary>
internal static class SharedBoards
{
    /// <summary>Every file of a board's folder.</summary>
    public static IReadOnlyList<FabricationFile> Files(string board) =>
        [.. Directory.GetFiles(Folder(board)).Order(StringComparer.Ordinal).Select(path => new FabricationFile(Path.GetFileName(path), File.ReadAllBytes(path)))];

    /// <summary>A board's folder without its IPC-2581 documents.</summary>
    public static IReadOnlyList<FabricationFile> GerberFiles(string board) => [.. Files(board).Where(f => !f.Name.EndsWith(".xml", StringComparison.Ordinal))];

    /// <summary>A board's IPC-2581 document alone.</summary>
    public static IReadOnlyList<FabricationFile> Ipc2581Files(string board) => [.. Files(board).Where(f => f.Name.EndsWith(".xml", StringComparison.Ordinal))];

    /// <summary>What <c>expected.json</c> says about a board.</summary>
    public static JsonElement Expected(string board)
    {
        using var document = JsonDocument.Parse(File.ReadAllBytes(Path.Combine(Folder(""), "expected.json")));
        return document.RootElement.GetProperty("boards").EnumerateArray().Single(b => b.GetProperty("name").GetString() == board).Clone();
    }

    public static FabricationDescription Describe(params PartDocument[] parts) => new() { Name = "board", Revision = "A", Parts = parts };

    private static string Folder(string board)
    {
        var folder = new DirectoryInfo(AppContext.BaseDirectory);
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "HeatSpread.sln"))) folder = folder.Parent;
        folder = folder?.Parent;
        while (folder is not null && !File.Exists(Path.Combine(folder.FullName, "shared", "boards", "expected.json"))) folder = folder.Parent;
        if (folder is null) Assert.Skip("the folder ../shared/boards of real boards is not there");
        string path = Path.Combine(folder.FullName, "shared", "boards", board);
        if (!Directory.Exists(path)) Assert.Skip($"the folder {board} of ../shared/boards is not there");
        return path;
    }
}
