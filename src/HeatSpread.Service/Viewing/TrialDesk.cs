using System.Text;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Service.Analysis;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Tenants;
using HeatSpread.Thermal;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Viewing;

/// <summary>
/// Tries other conditions on a stored solution's board and grid, for a person who waits for the picture: one solve, no estimate of its error, no findings, and nothing is stored.
/// What was tried lately is kept in memory.
/// </summary>
internal sealed class TrialDesk(SolvedNetworks networks, RecentlyUsed<Trial> shared, Workspace workspace, SolveCapacity capacity, IOptions<ServiceSettings> settings)
{
    /// <summary>Relative residual: some ten microkelvin of a usual rise, far below what a map shows.</summary>
    private const double Tolerance = 1e-6;

    private const string Key = "conditions";

    private readonly TenantCache<Trial> _recent = new(workspace.Tenant, shared);

    /// <summary>Solves, or finds the same trial again.</summary>
    /// <param name="solution">Whose board and grid.</param>
    /// <param name="json">As posted, UTF-8: an object with `conditions`.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="BusyException">Too many wait already.</exception>
    public async Task<(Trial? Trial, Problem? Problem)> Try(StoredCase solution, ReadOnlyMemory<byte> json, CancellationToken cancellationToken)
    {
        var parsed = PostedJson.Parse(json, settings.Value.Layout);
        if (parsed.Value is null) return (null, LayoutIntake.Malformed(parsed.Faults, json, settings.Value.Layout));
        using var document = parsed.Value;
        var root = document.RootElement;
        if (root.ValueKind != JsonValueKind.Object || !root.TryGetProperty(Key, out var given)) return (null, Refused([new Fault("", "Must be an object with `conditions`.")]));
        List<Fault> faults = [.. root.EnumerateObject().Where(member => member.Name != Key).Select(member => new Fault("/" + member.Name, $"`{member.Name}` is not known here; known is `conditions`."))];
        var conditions = ConditionsReader.Read(given, "/conditions", solution.Layout.Board, solution.Layout.Unit, settings.Value.Layout);
        faults.AddRange(conditions.Faults);
        if (faults.Count > 0) return (null, Refused(faults));
        string id = ContentId.Of(Encoding.ASCII.GetBytes(solution.Id), CanonicalJson.Write(given));
        return (await networks.Run(() => _recent.GetOrMake(Name(solution.Id, id), () => Solve(solution, id, conditions.Value!, cancellationToken)), cancellationToken), null);
    }

    /// <summary>A trial that is still in memory; null where it is not.</summary>
    public Trial? Find(string solution, string id) => _recent.GetOrMake(Name(solution, id), () => null);

    private static Problem Refused(IReadOnlyList<Fault> faults) => Problem.Of(ProblemKind.InvalidSolutionRequest, faults);

    private static string Name(string solution, string id) => $"{solution} {id}";

    private Trial Solve(StoredCase solution, string id, Conditions conditions, CancellationToken cancellationToken)
    {
        var board = solution.Layout.Board;
        var raster = networks.Open(solution, solution.Grid, cancellationToken).Raster;
        using var network = ThermalSolve.Run(board, conditions, raster, capacity, Tolerance, progress: null, cancellationToken);
        return new Trial(id, board, network.Read());
    }
}

/// <summary>A board's field under conditions that were tried.</summary>
/// <param name="Id">Digest of solution and conditions.</param>
/// <param name="Board">Whose it is.</param>
/// <param name="Field">What came of it.</param>
internal sealed record Trial(string Id, Board Board, TemperatureField Field)
{
    public long BytesHeld => (long)Field.Grid.CellCount * (Field.RowCelsius.Count + 2) * sizeof(float);
}
