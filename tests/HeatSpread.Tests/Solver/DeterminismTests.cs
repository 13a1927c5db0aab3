using HeatSpread.Solver;
using HeatSpread.Solver.Multigrid;
using Xunit;

namespace HeatSpread.Tests.Solver;

public class DeterminismTests
{
    [Theory]
    [InlineData(1)]
    [InlineData(2)]
    [InlineData(5)]
    public void SameInputAndThreadsGiveTheSameBits(int threads)
    {
        var grid = RandomNetwork.Board(new Random(11), 150, 130, 5, parts: 10, cutouts: true);
        var heat = RandomNetwork.Heat(new Random(12), grid);
        double[] first = new double[heat.Length], second = new double[heat.Length];
        var solver = MultigridSolver.Prepare(grid, threads, TestContext.Current.CancellationToken);
        solver.Solve(heat, first, new(), null, TestContext.Current.CancellationToken);
        MultigridSolver.Prepare(grid, threads, TestContext.Current.CancellationToken).Solve(heat, second, new(), null, TestContext.Current.CancellationToken);
        Assert.Equal(first, second);
        Array.Clear(second);
        solver.Solve(heat, second, new(), null, TestContext.Current.CancellationToken);
        Assert.Equal(first, second);
    }

    [Theory]
    [InlineData(0, 400, 300, 3)]
    [InlineData(12, 200, 180, 5)]
    [InlineData(0, 7, 3000, 6)]
    public void TheNumberOfThreadsDoesNotChangeABit(int parts, int columns, int rows, int sheets)
    {
        var grid = RandomNetwork.Board(new Random(41), columns, rows, sheets, parts: parts);
        var heat = RandomNetwork.Heat(new Random(42), grid);
        var fields = new[] { 1, 2, 3, 8 }.Select(threads =>
        {
            var temperature = new double[heat.Length];
            MultigridSolver.Prepare(grid, threads, TestContext.Current.CancellationToken).Solve(heat, temperature, new(), null, TestContext.Current.CancellationToken);
            return temperature;
        }).ToArray();
        foreach (var field in fields) Assert.Equal(fields[0], field);
    }

    /// <summary>Memory from the pool is cleared where it need be only, here it is full of what is no number.</summary>
    [Theory]
    [InlineData(0, 1, 141, false)]
    [InlineData(0, 2, 141, false)]
    [InlineData(10, 2, 141, false)]
    [InlineData(0, 2, 171, true)]
    [InlineData(10, 1, 171, true)]
    public void WhatWasInTheMemoryBeforeChangesNoBit(int parts, int threads, int columns, bool isCompact)
    {
        var grid = RandomNetwork.Board(new Random(31), columns, 122, 5, parts: parts, cutouts: true);
        var heat = RandomNetwork.Heat(new Random(32), grid);
        double[] expected = new double[heat.Length], field = new double[heat.Length];
        using var clean = MultigridSolver.Prepare(grid, threads, TestContext.Current.CancellationToken);
        Assert.Equal(isCompact, clean.Levels!.Levels[0].Compact != null);
        clean.Solve(heat, expected, new(), null, TestContext.Current.CancellationToken);

        var resources = new SolverResources(threads);
        // All bits set: read as conductances in 16 bits, none of them is zero.
        var noNumber = BitConverter.Int32BitsToSingle(-1);
        void Fill()
        {
            AlignedFloats[] all = [.. clean.Levels.Levels.SelectMany(level => Enumerable.Range(0, 64).Select(k => resources.Scratch.RentAny(k < 32 ? level.Shape.Length : (level.Shape.Length + 1) / 2, k % 16)))];
            foreach (var floats in all)
            {
                floats.Owner.AsSpan().Fill(noNumber);
                resources.Scratch.Return(floats);
            }
        }

        Fill();
        var filled = resources.Scratch.IdleBytes;
        using var solver = MultigridSolver.Prepare(grid, resources, TestContext.Current.CancellationToken);
        Assert.True(resources.Scratch.IdleBytes < filled, "The set-up took no memory from the pool.");
        Fill();
        solver.Solve(heat, field, new(), null, TestContext.Current.CancellationToken);
        Assert.Equal(expected, field);
    }

    [Fact]
    public void OneHierarchyServesManySolvesAtOnce()
    {
        var grid = RandomNetwork.Board(new Random(21), 90, 70, 5, parts: 10);
        var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
        var heats = Enumerable.Range(0, 8).Select(k => RandomNetwork.Heat(new Random(k), grid)).ToArray();
        double[] Solve(double[] heat)
        {
            var temperature = new double[heat.Length];
            Assert.Equal(SolveStatus.Converged, solver.Solve(heat, temperature, new(), null, CancellationToken.None).Status);
            return temperature;
        }

        var alone = heats.Select(Solve).ToArray();
        var together = new double[heats.Length][];
        Parallel.For(0, heats.Length, k => together[k] = Solve(heats[k]));
        for (var k = 0; k < heats.Length; k++) Assert.Equal(alone[k], together[k]);
    }

    [Fact]
    public void AGoodFirstGuessSavesIterationsAndTwiceTheHeatIsTwiceTheRise()
    {
        var grid = RandomNetwork.Board(new Random(31), 60, 50, 4, parts: 3);
        var heat = RandomNetwork.Heat(new Random(32), grid);
        double[] once = new double[heat.Length], twice = new double[heat.Length];
        var solver = MultigridSolver.Prepare(grid, 1, TestContext.Current.CancellationToken);
        var cold = solver.Solve(heat, once, new(1e-10), null, TestContext.Current.CancellationToken);
        var doubled = Array.ConvertAll(heat, q => 2 * q);
        solver.Solve(doubled, twice, new(1e-10), null, TestContext.Current.CancellationToken);
        for (var i = 0; i < once.Length; i++) Assert.Equal(2 * once[i], twice[i], 1e-6 * (1 + twice[i]));
        Assert.Equal(0, solver.Solve(heat, once, new(1e-9), null, TestContext.Current.CancellationToken).Iterations);
        var guess = Array.ConvertAll(once, t => t * 1.0001);
        Assert.True(solver.Solve(heat, guess, new(1e-10), null, TestContext.Current.CancellationToken).Iterations < cold.Iterations);
    }
}
