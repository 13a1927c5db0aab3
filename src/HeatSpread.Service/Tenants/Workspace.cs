using HeatSpread.Service.Comparisons;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Studies;

namespace HeatSpread.Service.Tenants;

/// <summary>
/// All that one tenant keeps. Each tenant has stores of its own in a folder or below a prefix of its own, so whatever is asked of one finds nothing of another's, even by
/// the digest of a layout that the other has.
/// </summary>
internal sealed class Workspace(TenantStorage storage, IServiceProvider services)
{
    public string Tenant => storage.Tenant;

    public LayoutStore Layouts { get; } = ActivatorUtilities.CreateInstance<LayoutStore>(services, storage);

    public SolutionStore Solutions { get; } = ActivatorUtilities.CreateInstance<SolutionStore>(services, storage);

    public ComparisonStore Comparisons { get; } = ActivatorUtilities.CreateInstance<ComparisonStore>(services, storage);

    public StudyStore Studies { get; } = ActivatorUtilities.CreateInstance<StudyStore>(services, storage);

    /// <summary>Ids of the solutions that a comparison refers to: they stay as long as it does.</summary>
    public IEnumerable<string> SolutionsReferredTo => Comparisons.List().Comparisons.SelectMany(c => c.Candidates.Append(c.Baseline));
}
