using HeatSpread.Boards;
using HeatSpread.Insight.Comparison;
using HeatSpread.Service.Analysis;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;
using HeatSpread.Thermal;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Comparisons;

/// <summary>Makes comparisons: from the store where it can, else from the networks of the solutions.</summary>
internal sealed class ComparisonDesk(SolutionStore solutions, ComparisonStore store, SolvedNetworks networks, IOptions<ServiceSettings> settings)
{
    /// <param name="json">The request, UTF-8.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>Id and answer, or the problem.</returns>
    public async Task<(string? Id, byte[]? Answer, Problem? Problem)> Ask(ReadOnlyMemory<byte> json, CancellationToken cancellationToken)
    {
        var (request, refused) = ComparisonRequest.Read(json, solutions, settings.Value.Layout);
        if (request is null) return (null, null, refused);
        if (store.Answer(request.Id) is { } known) return (request.Id, known, null);
        var faults = request.Candidates.Index().Select(each => SizeFault(request.Baseline, each.Item, each.Index)).OfType<Fault>().ToList();
        if (faults.Count > 0) return (null, null, Problem.Of(ProblemKind.InvalidComparisonRequest, faults));
        var candidates = new List<ComparedCandidate>();
        foreach (var candidate in request.Candidates) candidates.Add(await networks.Run(() => Compare(request.Baseline, candidate, request.Parts, cancellationToken), cancellationToken));
        return (request.Id, store.Keep(request, candidates), null);
    }

    private ComparedCandidate Compare(StoredCase baseline, StoredCase candidate, IReadOnlyList<string>? parts, CancellationToken cancellationToken)
    {
        var grid = CommonGrid.Of(baseline.Grid, candidate.Grid);
        SolvedNetwork before = networks.Open(baseline, grid, cancellationToken), after = networks.Open(candidate, grid, cancellationToken);
        double error = Math.Max(baseline.GridErrorKelvin, candidate.GridErrorKelvin);
        var partErrors = baseline.PartErrors.Concat(candidate.PartErrors).GroupBy(part => part.Key).ToDictionary(part => part.Key, part => part.Max(each => each.Value));
        var comparison = BoardComparison.Of(before, after, parts, partErrors, cancellationToken);
        return new(candidate, grid, comparison, error, [.. Maps(before, after)]);
    }

    /// <summary>Candidate less baseline on each layer that both have, K; NaN where one of them has no board.</summary>
    private static IEnumerable<(int Layer, float[] Kelvin)> Maps(SolvedNetwork before, SolvedNetwork after)
    {
        TemperatureField first = before.Read(), second = after.Read();
        for (int layer = 0; layer < after.Board.Layers.Count; layer++)
        {
            var same = before.Board.Layers.FirstOrDefault(other => other.Name == after.Board.Layers[layer].Name);
            if (same is null) continue;
            float[] kelvin = [.. second.RowCelsius[after.Board.Layers[layer].Row].Zip(first.RowCelsius[same.Row], (celsius, former) => celsius - former)];
            if (!Array.TrueForAll(kelvin, float.IsNaN)) yield return (layer, kelvin);
        }
    }

    private Fault? SizeFault(StoredCase baseline, StoredCase candidate, int index)
    {
        var grid = CommonGrid.Of(baseline.Grid, candidate.Grid);
        long unknowns = (long)grid.Columns * grid.Rows * Math.Max(ThermalSolve.SheetCount(baseline.Layout.Board), ThermalSolve.SheetCount(candidate.Layout.Board));
        var (most, because) = settings.Value.MostUnknowns;
        return unknowns <= most ? null : new Fault(
            $"/candidates/{index}",
            $"Both boards on one grid must come to at most {most} cells over all rows of the stack ({because}); they come to {unknowns}. Solve the one of finer pitch on a coarser grid.");
    }
}

/// <summary>One candidate, compared.</summary>
/// <param name="Solution">What it is.</param>
/// <param name="Grid">On which.</param>
/// <param name="Comparison">With the baseline.</param>
/// <param name="ErrorKelvin">Of the grids.</param>
/// <param name="Maps">Difference maps by index of the candidate's layers, K.</param>
internal sealed record ComparedCandidate(StoredCase Solution, BoardGrid Grid, BoardComparison Comparison, double ErrorKelvin, IReadOnlyList<(int Layer, float[] Kelvin)> Maps);
