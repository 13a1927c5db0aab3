using HeatSpread.Solver;

namespace HeatSpread.Thermal;

/// <summary>
/// Cores and memory that solves share, whether they run one after the other or at once: many small ones get a core each, one alone gets all it can use. Make one and
/// keep it. It changes no bit of a result. Safe for use by many threads.
/// </summary>
/// <param name="threadsPerSolve">Most threads of one solve, at least 1.</param>
/// <param name="cores">Threads of all solves together, though each has its own at least; null: as many as one may have.</param>
/// <param name="scratchBytes">Most memory that waits for the next solve; null: all that was used at once.</param>
public sealed class SolveCapacity(int threadsPerSolve, int? cores = null, long? scratchBytes = null)
{
    /// <summary>Threads of all solves together.</summary>
    public int Cores => Resources.Cores;

    /// <summary>Does pieces of work that come to solves at once on these cores; see <see cref="SolverResources.AtOnce"/>.</summary>
    /// <param name="count">Pieces.</param>
    /// <param name="work">Told the number of a piece, from 0 on. Must not throw.</param>
    public void AtOnce(int count, Action<int> work) => Resources.AtOnce(count, work);

    internal SolverResources Resources { get; } = new(threadsPerSolve, cores, scratchBytes);
}
