using HeatSpread.Boards;

namespace HeatSpread.Thermal;

/// <summary>From raster and conditions to the temperature field.</summary>
public static class ThermalSolve
{
    /// <summary>Assembles the network, solves it and reads the field.</summary>
    /// <param name="board">The board.</param>
    /// <param name="conditions">What surrounds it.</param>
    /// <param name="raster">The copper of <paramref name="board"/>.</param>
    /// <param name="threads">Threads to use, at least 1.</param>
    /// <param name="progress">Told of the solver's iterations; may be null.</param>
    /// <param name="cancellationToken">Ends it with an <see cref="OperationCanceledException"/>.</param>
    /// <exception cref="ThermalSolveException">No field exists or none was found: no way out for heat, or not converged.</exception>
    public static TemperatureField Run(Board board, Conditions conditions, CopperRaster raster, int threads, IProgress<(int Iteration, double RelativeResidual)>? progress, CancellationToken cancellationToken) => throw new NotImplementedException();
}

/// <summary>A board that has no temperature field, or whose field was not found. The message is for the user.</summary>
public sealed class ThermalSolveException : Exception
{
    public ThermalSolveException()
    {
    }

    public ThermalSolveException(string message)
        : base(message)
    {
    }

    public ThermalSolveException(string message, Exception innerException)
        : base(message, innerException)
    {
    }

    /// <summary>True: the board and conditions allow no steady state (a user's fault). False: the solver failed.</summary>
    public bool NoWayOut { get; init; }
}
