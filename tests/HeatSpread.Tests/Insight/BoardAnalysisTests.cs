using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight;

public class BoardAnalysisTests
{
    private static readonly Board board = SampleBoards.TwoLayers(20e-3, 12e-3, limitCelsius: 60);

    [Fact]
    public void AnAskedPitchIsUsedAndItsErrorEstimated()
    {
        var solution = Analyse(new GridChoice(0.5e-3, null));
        Assert.Equal((40, 24), (solution.Field.Grid.Columns, solution.Field.Grid.Rows));
        Assert.Equal(0.5e-3, solution.Accuracy.PitchMeters);
        Assert.Null(solution.Accuracy.TargetErrorMet);
        Assert.True(solution.Accuracy.GridErrorKelvin > 0);
        Assert.True(solution.Seconds.Total >= solution.Seconds.Solve);
    }

    [Fact]
    public void AnAskedErrorIsMetOnAGridThatSupportsIt()
    {
        var rough = Analyse(new GridChoice(null, 20) { MaximumCells = 20_000 });
        var fine = Analyse(new GridChoice(null, 0.02) { MaximumCells = 20_000 });
        Assert.True(rough.Accuracy.TargetErrorMet);
        Assert.True(rough.Accuracy.GridErrorKelvin <= 20);
        Assert.True(fine.Accuracy.PitchMeters <= rough.Accuracy.PitchMeters);
        Assert.Equal(fine.Accuracy.GridErrorKelvin <= 0.02, fine.Accuracy.TargetErrorMet);
    }

    [Fact]
    public void AnErrorThatNoGridCanMeetIsToldHonestly()
    {
        var solution = Analyse(new GridChoice(null, 1e-9) { MaximumCells = 20_000 });
        Assert.False(solution.Accuracy.TargetErrorMet);
        Assert.True(solution.Accuracy.GridErrorKelvin > 1e-9);
        Assert.InRange(solution.Field.Grid.CellCount * board.Rows.Count, 1, 20_000);
    }

    [Fact]
    public void ABoardOfOneCellStillHasAnEstimate()
    {
        var solution = Analyse(new GridChoice(1, null));
        Assert.Equal(1, solution.Field.Grid.CellCount);
        Assert.True(solution.Accuracy.GridErrorKelvin > 0);
    }

    [Fact]
    public void TheAnswerHasEveryReading()
    {
        var solution = Analyse(new GridChoice(0.5e-3, null));
        Assert.Equal(2, solution.Layers.Count);
        Assert.Equal("U1", Assert.Single(solution.Parts).Id);
        Assert.Single(solution.Probes);
        Assert.Equal("U1", solution.HotSpots[0].Part);
        Assert.Equal(solution.Layers.Max(layer => layer.MaxCelsius), solution.HotSpots[0].Celsius, 1e-4);
        Assert.Equal(solution.Parts[0].MaxCelsius <= 60, solution.Verdict.Reasons.All(reason => !reason.StartsWith("U1", StringComparison.Ordinal)));
    }

    [Fact]
    public void ProgressNeverFallsBackAndNamesItsSteps()
    {
        var told = new Told();
        Analyse(new GridChoice(0.5e-3, null), told);
        // The coarsest grid, the three others that tell the error at once, the answer's.
        Assert.Equal(["raster", "solve", "raster", "solve", "raster", "solve", "findings"], told.Steps);
        Assert.Equal(told.Percents.Order(), told.Percents);
        Assert.InRange(told.Percents[^1], 80, 100);
    }

    [Fact]
    public void CancellationEndsTheWork()
    {
        using var cancelled = new CancellationTokenSource();
        cancelled.Cancel();
        Assert.ThrowsAny<OperationCanceledException>(() => BoardAnalysis.Analyse(board, SampleBoards.StillRoom, new(0.5e-3, null), 1, null, cancelled.Token));
    }

    [Fact]
    public void ProgressNeverFallsBackWhereTheGridIsHalved()
    {
        var told = new Told();
        Analyse(new GridChoice(null, 1e-9) { MaximumCells = 1_500_000 }, told);
        Assert.True(told.Steps.Count(step => step == "solve") > 3, "The grid was not halved.");
        Assert.Equal(told.Percents.Order(), told.Percents);
    }

    /// <summary>The coarsest, several at once, and the answer's: the solver is not left to go on.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(3)]
    public void CancellationEndsTheWorkInWhicheverGrid(int solve)
    {
        using var source = new CancellationTokenSource();
        int begun = 0, after = 0;
        var told = new Told
        {
            Then = value =>
            {
                if (source.IsCancellationRequested) after++;
                if (value is { Step: "solve", RelativeResidual: null }) begun++;
                if (value.RelativeResidual is not null && begun == solve) source.Cancel();
            },
        };
        Assert.ThrowsAny<OperationCanceledException>(() => BoardAnalysis.Analyse(board, SampleBoards.StillRoom, new(0.25e-3, null), 2, told, source.Token));
        Assert.Equal(solve, begun);
        Assert.InRange(after, 0, 1);
    }

    /// <summary>Of a grid that is alone, and of one that others are solved beside.</summary>
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    public void AFailureIsToldAsItIs(int solve)
    {
        int begun = 0;
        var told = new Told
        {
            Then = value =>
            {
                if (value is { Step: "solve", RelativeResidual: null }) begun++;
                if (value.RelativeResidual is not null && begun == solve) throw new InvalidOperationException("told");
            },
        };
        var failure = Assert.Throws<InvalidOperationException>(() => BoardAnalysis.Analyse(board, SampleBoards.StillRoom, new(0.25e-3, null), 2, told, TestContext.Current.CancellationToken));
        Assert.Equal("told", failure.Message);
        Assert.Equal(solve, begun);
    }

    [Fact]
    public void WhatCannotBeSolvedFailsAlikeWithAnyNumberOfThreads()
    {
        var closed = SampleBoards.StillRoom with { Top = new FilmSurface(0), Bottom = new FilmSurface(0) };
        var failures = Array.ConvertAll([1, 2, 5], threads =>
            Assert.Throws<ThermalSolveException>(() => BoardAnalysis.Analyse(board, closed, new(0.5e-3, null), threads, null, TestContext.Current.CancellationToken)));
        Assert.All(failures, failure => Assert.True(failure.NoWayOut));
        Assert.Single(failures.Select(failure => failure.Message).Distinct());
    }

    [Fact]
    public void TheNumberOfThreadsChangesNoBitOfAnAnswer()
    {
        var answers = Array.ConvertAll([1, 2, 5], threads => BoardAnalysis.Analyse(board, SampleBoards.StillRoom, new(0.5e-3, null), threads, null, TestContext.Current.CancellationToken));
        Assert.All(answers, answer => Assert.Equal(answers[0].Accuracy.GridErrorKelvin, answer.Accuracy.GridErrorKelvin));
        Assert.All(answers, answer => Assert.Equal(answers[0].Peak.Celsius, answer.Peak.Celsius));
        Assert.All(answers, answer => Assert.Equal(answers[0].Field.RowCelsius, answer.Field.RowCelsius));
    }

    private static BoardSolution Analyse(GridChoice grid, IProgress<AnalysisProgress>? progress = null) =>
        BoardAnalysis.Analyse(board, SampleBoards.StillRoom, grid, threads: 2, progress, TestContext.Current.CancellationToken);

    private sealed class Told : IProgress<AnalysisProgress>
    {
        public List<string> Steps { get; } = [];

        public List<double> Percents { get; } = [];

        public Action<AnalysisProgress>? Then { get; set; }

        public void Report(AnalysisProgress value)
        {
            Then?.Invoke(value);
            if (value.RelativeResidual is null) Steps.Add(value.Step);
            Percents.Add(value.Percent);
        }
    }
}
