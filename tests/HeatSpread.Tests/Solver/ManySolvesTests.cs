using HeatSpread.Solver;
using HeatSpread.Solver.Multigrid;
using Xunit;

namespace HeatSpread.Tests.Solver;

/// <summary>More than one solve on what was set up once.</summary>
public class ManySolvesTests
{
    private static (ConductanceGrid Grid, double[][] Heats) Case(int heats, int seed = 51, int n = 90)
    {
        var grid = RandomNetwork.Board(new Random(seed), n, n - 20, 5, parts: 6, cutouts: true);
        return (grid, [.. Enumerable.Range(0, heats).Select(k => RandomNetwork.Heat(new Random(seed + k), grid))]);
    }

    private static double[] Alone(MultigridSolver solver, double[] heat, double tolerance = 1e-10)
    {
        var temperature = new double[heat.Length];
        Assert.Equal(SolveStatus.Converged, solver.Solve(heat, temperature, new(tolerance), null, TestContext.Current.CancellationToken).Status);
        return temperature;
    }

    [Fact]
    public void ManyHeatsAtOnceAreWhatEachIsAlone()
    {
        var (grid, heats) = Case(7);
        using var solver = MultigridSolver.Prepare(grid, new SolverResources(2, cores: 3), TestContext.Current.CancellationToken);
        var together = heats.Select(heat => new double[heat.Length]).ToArray();
        var reports = solver.Solve(heats, together, new(1e-10), TestContext.Current.CancellationToken);
        Assert.All(reports, report => Assert.Equal(SolveStatus.Converged, report.Status));
        for (var k = 0; k < heats.Length; k++) Assert.Equal(Alone(solver, heats[k]), together[k]);
        using var cancelled = new CancellationTokenSource();
        cancelled.Cancel();
        Assert.All(solver.Solve(heats, together, new(), cancelled.Token), report => Assert.Equal(SolveStatus.Cancelled, report.Status));
    }

    /// <summary>The matrix is symmetric, so its inverse is: what a watt here does there, a watt there does here. The adjoint of a reading is therefore a plain solve.</summary>
    [Fact]
    public void AWattHereDoesThereWhatAWattThereDoesHere()
    {
        var (grid, heats) = Case(1);
        using var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
        int[] places = [.. Enumerable.Range(0, grid.CellCount).Where(i => grid.ToSink[i] > 0 && i % 1301 == 0), grid.CellCount, grid.CellCount + 3];
        var fields = places.Select(place =>
        {
            var heat = new double[heats[0].Length];
            heat[place] = 1;
            return Alone(solver, heat);
        }).ToArray();
        Assert.True(places.Length > 5);
        for (var a = 0; a < places.Length; a++)
        {
            for (var b = 0; b < a; b++) Assert.Equal(fields[a][places[b]], fields[b][places[a]], 1e-7 * fields[a][places[a]]);
        }
    }

    [Theory]
    [InlineData(0.05, true)]
    [InlineData(3, false)]
    public void OtherSinksGiveTheFieldOfTheOtherNetwork(double change, bool shared)
    {
        var (grid, heats) = Case(1);
        var random = new Random(7);
        float[] sinks = [.. grid.ToSink.Select(g => (float)(g * (1 + (change * random.NextDouble()))))];
        using var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
        using var other = solver.WithSinks(sinks, TestContext.Current.CancellationToken);
        using var anew = MultigridSolver.Prepare(grid.WithSinks(sinks), 2, TestContext.Current.CancellationToken);
        Assert.Equal(shared, other.SharesHierarchyWith(solver));
        double[] expected = Alone(anew, heats[0], 1e-11), field = Alone(other, heats[0], 1e-11);
        for (var i = 0; i < field.Length; i++) Assert.Equal(expected[i], field[i], 1e-7 * expected.Max());
        Assert.NotEqual(expected, Alone(solver, heats[0], 1e-11));
    }

    /// <summary>With a new plate of copper on one sheet, and one link fewer: in either case the field is that of the network prepared by itself.</summary>
    [Theory]
    [InlineData(10)]
    [InlineData(1e-4)]
    public void ANetworkPreparedLikeAnotherHasItsOwnField(double film)
    {
        var random = new Random(77);
        var grid = RandomNetwork.Board(random, 90, 70, 5, parts: 6, cutouts: true, film: film);
        double[] heat = RandomNetwork.Heat(random, grid);
        using var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
        foreach (bool fewer in (ReadOnlySpan<bool>)[false, true])
        {
            var edited = Copied(grid);
            for (var i = 30; i < 50; i++)
            {
                var cell = (2 * 90 * 70) + (35 * 90) + i;
                edited.East[cell] *= 300;
                edited.North[cell] *= 300;
            }

            if (fewer) edited.East[Array.FindLastIndex(edited.East, g => g > 0)] = 0;
            using var like = MultigridSolver.PrepareLike(solver, edited, new SolverResources(2), TestContext.Current.CancellationToken);
            using var anew = MultigridSolver.Prepare(edited, 2, TestContext.Current.CancellationToken);
            double[] expected = Alone(anew, heat), field = Alone(like, heat);
            for (var i = 0; i < field.Length; i++) Assert.Equal(expected[i], field[i], 1e-6 * expected.Max());
            Assert.NotEqual(expected, Alone(solver, heat));
        }
    }

    private static ConductanceGrid Copied(ConductanceGrid grid)
    {
        var copy = new ConductanceGrid(grid.Columns, grid.Rows, grid.Sheets, grid.NodeCount);
        grid.East.CopyTo(copy.East, 0);
        grid.North.CopyTo(copy.North, 0);
        grid.Below.CopyTo(copy.Below, 0);
        grid.ToSink.CopyTo(copy.ToSink, 0);
        grid.NodeToSink.CopyTo(copy.NodeToSink, 0);
        copy.NodeCellLinks.AddRange(grid.NodeCellLinks);
        copy.NodeNodeLinks.AddRange(grid.NodeNodeLinks);
        return copy;
    }

    [Fact]
    public void ASinkThatIsNewOrGoneNeedsAnotherHierarchy()
    {
        var (grid, heats) = Case(1);
        using var solver = MultigridSolver.Prepare(grid, 2, TestContext.Current.CancellationToken);
        var place = Array.FindIndex(grid.ToSink, g => g > 0);
        var sinks = (float[])grid.ToSink.Clone();
        sinks[place] = 0;
        using (var other = solver.WithSinks(sinks, TestContext.Current.CancellationToken)) Assert.False(other.SharesHierarchyWith(solver));
        sinks[place] = float.NaN;
        using var bad = solver.WithSinks(sinks, TestContext.Current.CancellationToken);
        Assert.Equal(SolveStatus.BadSystem, bad.Solve(heats[0], new double[heats[0].Length], new(), null, TestContext.Current.CancellationToken).Status);
    }

    [Fact]
    public void MemoryGoesFromSolverToSolverWithinItsBound()
    {
        var (grid, heats) = Case(1);
        var (second, secondHeats) = Case(1, 61, 100);
        var resources = new SolverResources(2, scratchBytes: 3 << 20);
        double[] expected = Alone(MultigridSolver.Prepare(second, 2, TestContext.Current.CancellationToken), secondHeats[0]);
        var first = MultigridSolver.Prepare(grid, resources, TestContext.Current.CancellationToken);
        Alone(first, heats[0]);
        var other = first.WithSinks([.. grid.ToSink.Select(g => g * 1.01f)], TestContext.Current.CancellationToken);
        var before = resources.IdleScratchBytes;
        first.Dispose();
        first.Dispose();
        Assert.Equal(before, resources.IdleScratchBytes);
        Assert.Throws<ObjectDisposedException>(() => first.Solve(heats[0], new double[heats[0].Length], new(), null, CancellationToken.None));
        Alone(other, heats[0]);
        other.Dispose();
        Assert.InRange(resources.IdleScratchBytes, 1 << 20, 3 << 20);
        Assert.Equal(expected, Alone(MultigridSolver.Prepare(second, resources, TestContext.Current.CancellationToken), secondHeats[0]));
    }

    /// <summary>Memory that solvers before gave back, full of what spoils every sum it comes into, or of what compares greater than all else. The largest network is solved by two threads.</summary>
    [Theory]
    [InlineData(61, 45, 4, 0, float.NaN)]
    [InlineData(64, 33, 1, 0, float.NaN)]
    [InlineData(47, 62, 5, 6, float.NaN)]
    [InlineData(47, 62, 5, 6, 1e30f)]
    [InlineData(111, 93, 5, 6, float.NaN)]
    [InlineData(111, 93, 5, 6, 1e30f)]
    public void WhatWasInTheMemoryDoesNotChangeABit(int columns, int rows, int sheets, int parts, float leftOver)
    {
        var grid = RandomNetwork.Board(new Random(5), columns, rows, sheets, parts: parts, cutouts: true);
        var heat = RandomNetwork.Heat(new Random(6), grid);
        var resources = new SolverResources(2);
        double[] Solved()
        {
            using var solver = MultigridSolver.Prepare(grid, resources, TestContext.Current.CancellationToken);
            return Alone(solver, heat);
        }

        var expected = Solved();
        Assert.All(expected, t => Assert.True(double.IsFinite(t)));
        Fill(resources.Scratch, leftOver);
        Assert.Equal(expected, Solved());
    }

    private static void Fill(ScratchPool pool, float value)
    {
        List<AlignedFloats> taken = [];
        for (var length = 200; pool.IdleBytes > 0; length = length * 6 / 5)
        {
            for (long before = pool.IdleBytes + 1; pool.IdleBytes < before;)
            {
                before = pool.IdleBytes;
                taken.Add(pool.RentAny(length));
                taken[^1].Owner.AsSpan().Fill(value);
            }
        }

        taken.ForEach(pool.Return);
    }
}
