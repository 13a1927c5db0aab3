using System.Reflection;
using System.Text;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Rendering;
using HeatSpread.Service.Storage;
using HeatSpread.Thermal;

namespace HeatSpread.Service;

/// <summary>
/// Digests of the code that makes an answer. They are part of the names of what it makes, so that an answer of one build is
/// never passed off as that of another.
/// </summary>
internal static class Builds
{
    /// <summary>Of everything from board to solution.</summary>
    public static string Engine { get; } = Digest([typeof(Board).Assembly, typeof(BoardGrid).Assembly, typeof(BoardAnalysis).Assembly, .. Solver]);

    /// <summary>Of the pictures.</summary>
    public static string Drawing { get; } = Digest([typeof(LayerMap).Assembly]);

    /// <summary>Of the reports: what is drawn, and what this service gathers for them.</summary>
    public static string Reports { get; } = Digest([typeof(LayerMap).Assembly, typeof(Builds).Assembly]);

    // The service may not name types of the solver; it only wants to know which build the thermal project runs on.
    private static IEnumerable<Assembly> Solver => typeof(BoardGrid).Assembly.GetReferencedAssemblies().Where(a => a.Name == "HeatSpread.Solver").Select(Assembly.Load);

    private static string Digest(IEnumerable<Assembly> assemblies) =>
        ContentId.Of(Encoding.ASCII.GetBytes(string.Join(' ', assemblies.Select(a => a.ManifestModule.ModuleVersionId))))[..12];
}
