using HeatSpread.Insight;
using HeatSpread.Thermal;

namespace HeatSpread.Verification.Support;

/// <summary>A reported temperature of a random board: the stated bound on its grid error against the difference from a grid of a quarter of the pitch.</summary>
/// <param name="Board">Seed.</param>
/// <param name="Reading">Peak, part or probe.</param>
/// <param name="Kind">Of the reading: <c>peak</c>, <c>probe</c>, or the part's kind.</param>
/// <param name="BoundKelvin">As an answer states it.</param>
/// <param name="ErrorKelvin">Against the fine grid.</param>
internal readonly record struct GridErrorSample(int Board, string Reading, string Kind, double BoundKelvin, double ErrorKelvin)
{
    /// <summary>Bound over error; what is far below the solver's tolerance counts as no error.</summary>
    public double Ratio => BoundKelvin / Math.Max(ErrorKelvin, 1e-5);

    /// <summary>All reported temperatures of a board, at a pitch of 0.3 to 0.75 mm that the seed tells.</summary>
    public static GridErrorSample[] OfBoard(int seed, SolveCapacity capacity, CancellationToken cancellationToken)
    {
        var (board, conditions) = RandomBoard.Of(seed);
        double pitch = 0.3e-3 * Math.Pow(2.5, new Random(seed).NextDouble());
        var (answer, _) = new GridSolver(board, conditions, capacity, progress: null, cancellationToken).SolveWithError(pitch);
        answer.Solved?.Dispose();
        var raster = CopperRaster.Build(board, BoardGrid.Over(board.Outline.Bounds, pitch / 4), cancellationToken);
        using var fine = ThermalSolve.Run(board, conditions, raster, capacity, 1e-8, progress: null, cancellationToken);
        var exact = new GridSolution(pitch / 4, raster, fine.Read(), null, 0, 0);
        var errors = answer.Errors!;
        List<GridErrorSample> samples = [new(seed, "peak", "peak", errors.Peak, Math.Abs(FieldReadings.Peak(board, answer).Celsius - FieldReadings.Peak(board, exact).Celsius))];
        for (int part = 0; part < board.Parts.Count; part++)
        {
            samples.Add(new(seed, board.Parts[part].Id, board.Parts[part].Kind, errors.Parts[part], Math.Abs(answer.Field.Parts[part].MaxCelsius - exact.Field.Parts[part].MaxCelsius)));
        }
        var (probes, exactProbes) = (FieldReadings.Probes(board, answer.Field), FieldReadings.Probes(board, exact.Field));
        for (int probe = 0; probe < probes.Count; probe++)
        {
            samples.Add(new(seed, probes[probe].Name, "probe", errors.Probes[probe], Math.Abs(probes[probe].Celsius - exactProbes[probe].Celsius)));
        }
        return [.. samples];
    }

    /// <summary>Of each board the greatest bound against the greatest error, as <c>accuracy.gridErrorKelvin</c> is read.</summary>
    public static GridErrorSample[] Worst(IEnumerable<GridErrorSample> samples) =>
        [.. samples.GroupBy(sample => sample.Board).Select(of => new GridErrorSample(of.Key, "worst", "worst", of.Max(sample => sample.BoundKelvin), of.Max(sample => sample.ErrorKelvin)))];
}
