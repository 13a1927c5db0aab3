using System.Text.Json;

namespace HeatSpread.Service.Tests;

/// <summary>
/// Compares with the approved files in <c>fixtures/approved</c>. With the environment variable <c>HEATSPREAD_APPROVE=1</c> they are written
/// anew instead: the change then shows in the diff for a person to judge.
/// </summary>
internal static class Approved
{
    private static readonly JsonSerializerOptions Indented = new() { WriteIndented = true, NewLine = "\n", Encoder = System.Text.Encodings.Web.JavaScriptEncoder.UnsafeRelaxedJsonEscaping };

    public static void Json(string name, JsonElement actual)
    {
        string text = JsonSerializer.Serialize(actual, Indented) + "\n", path = Path.Combine(Repository.Root, "fixtures", "approved", name);
        if (Environment.GetEnvironmentVariable("HEATSPREAD_APPROVE") == "1") File.WriteAllText(path, text);
        Assert.True(File.Exists(path), $"{name} is not approved yet; run with HEATSPREAD_APPROVE=1 and look at what is written.");
        Assert.Equal(File.ReadAllText(path), text);
    }
}

/// <summary>Places in the repository.</summary>
internal static class Repository
{
    public static string Root { get; } = FindRoot();

    /// <summary>A file or folder among the shared real boards, which lie beside the repository or above it; null on a machine without them.</summary>
    public static string? SharedBoard(string name)
    {
        for (var folder = new DirectoryInfo(Root).Parent; folder is not null; folder = folder.Parent)
        {
            string path = Path.Combine(folder.FullName, "shared", "boards", name);
            if (Path.Exists(path)) return path;
        }
        return null;
    }

    private static string FindRoot()
    {
        for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
        {
            if (File.Exists(Path.Combine(folder.FullName, "HeatSpread.sln"))) return folder.FullName;
        }
        throw new DirectoryNotFoundException("HeatSpread.sln is in no folder above the tests.");
    }
}
