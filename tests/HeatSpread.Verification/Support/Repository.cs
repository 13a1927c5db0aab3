namespace HeatSpread.Verification.Support;

/// <summary>Where the repository lies on this machine.</summary>
internal static class Repository
{
    /// <summary>The folder of <c>HeatSpread.sln</c>, or null where the tests run outside a clone.</summary>
    public static string? Root
    {
        get
        {
            for (var folder = new DirectoryInfo(AppContext.BaseDirectory); folder is not null; folder = folder.Parent)
            {
                if (File.Exists(Path.Combine(folder.FullName, "HeatSpread.sln"))) return folder.FullName;
            }
            return null;
        }
    }
}
