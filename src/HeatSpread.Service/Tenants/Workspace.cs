using HeatSpread.Service.Comparisons;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Tenants;

/// <summary>
/// All that one tenant keeps. Each tenant has stores of its own in a folder of its own, so whatever is asked of one finds nothing of another's, even by
/// the digest of a layout that the other has.
/// </summary>
internal sealed class Workspace(TenantFolder folder, IServiceProvider services)
{
    public string Tenant => folder.Tenant;

    public LayoutStore Layouts { get; } = ActivatorUtilities.CreateInstance<LayoutStore>(services, folder);

    public SolutionStore Solutions { get; } = ActivatorUtilities.CreateInstance<SolutionStore>(services, folder);

    public ComparisonStore Comparisons { get; } = ActivatorUtilities.CreateInstance<ComparisonStore>(services, folder);

    /// <summary>Requests that a client was promised an answer to.</summary>
    public AcceptedStore Accepted { get; } = ActivatorUtilities.CreateInstance<AcceptedStore>(services, folder);

    /// <summary>Ids of the solutions that a comparison refers to: they stay as long as it does.</summary>
    public IEnumerable<string> SolutionsReferredTo => Comparisons.List().Comparisons.SelectMany(c => c.Candidates.Append(c.Baseline));
}
