using HeatSpread.Service.Operations;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Tenants;

namespace HeatSpread.Service.Jobs;

/// <summary>One kind of work. Registered as a singleton, it is all that the queue needs in order to carry another kind.</summary>
internal interface IWorkKind
{
    /// <summary>Part of what is written down: it never changes.</summary>
    string Name { get; }

    /// <summary>Makes the work again of what <see cref="Work.Document"/> gave, perhaps to another process or an earlier version.</summary>
    /// <returns>One of the two.</returns>
    (Work? Work, Problem? Problem) Read(ReadOnlyMemory<byte> document, Workspace workspace);

    /// <summary>Whether the result is in the store: then it need not be done again.</summary>
    bool IsDone(string id, Workspace workspace);

    /// <summary>Does the work and keeps its result, whole or not at all. It may be done twice, for a worker may be given up too early.</summary>
    /// <param name="work">Of this kind.</param>
    /// <param name="workspace">Whose it is.</param>
    /// <param name="trace">Told of every step.</param>
    /// <param name="cancellationToken">Ends it by an <see cref="OperationCanceledException"/>.</param>
    void Do(Work work, Workspace workspace, SolveTrace trace, CancellationToken cancellationToken);
}

/// <summary>All kinds of work by name.</summary>
internal sealed class WorkKinds(IEnumerable<IWorkKind> kinds)
{
    private readonly Dictionary<string, IWorkKind> _kinds = kinds.ToDictionary(kind => kind.Name, StringComparer.Ordinal);

    /// <exception cref="InvalidDataException">A kind that this build does not know: another version wrote it.</exception>
    public IWorkKind Of(string name) => _kinds.GetValueOrDefault(name) ?? throw new InvalidDataException($"This version knows no work of the kind `{name}`.");
}
