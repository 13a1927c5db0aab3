using HeatSpread.Solver;
using HeatSpread.Solver.Multigrid;
using Xunit;

namespace HeatSpread.Tests.Solver;

public unsafe class CycleTests
{
    /// <summary>Conjugate gradients ask it of a cycle B: ⟨Bx, y⟩ = ⟨x, By⟩, to what single precision leaves; and ⟨Bx, x⟩ &gt; 0.</summary>
    [Theory]
    [InlineData(0, 1)]
    [InlineData(0, 2)]
    [InlineData(1, 1)]
    [InlineData(12, 1)]
    [InlineData(12, 3)]
    public void IsSymmetric(int parts, int threads)
    {
        var grid = RandomNetwork.Board(new Random(71), 130, 118, 5, parts: parts, cutouts: true);
        var resources = new SolverResources(threads);
        using var solver = MultigridSolver.Prepare(grid, resources, TestContext.Current.CancellationToken);
        var hierarchy = solver.Levels!;
        Assert.Equal(parts > 0, hierarchy.Levels[0].Nodes != null);
        if (parts > 1) Assert.Contains(hierarchy.Levels, level => level.Nodes != null && level.Runs != null);
        using var team = new ThreadTeam(threads, TestContext.Current.CancellationToken);
        using var workspace = Workspace.Rent(hierarchy, resources.Scratch, team);
        var cycle = new Cycle(hierarchy, workspace, team, first: null, last: null);
        var present = Present(grid, hierarchy.Levels[0].Shape);

        (double[] Rhs, double[] Solution) Apply(int seed)
        {
            var random = new Random(seed);
            float* rhs = workspace.Residual.Cells.Pointer, x = workspace.Levels[0].X[1].Pointer;
            foreach (var place in present) rhs[place] = (float)random.NextDouble() - 0.5f;
            for (var i = 0; i < hierarchy.NodeCount; i++) workspace.Residual.Nodes[i] = random.NextDouble() - 0.5;
            cycle.Run();
            return ([.. present.Select(place => (double)rhs[place]), .. workspace.Residual.Nodes], [.. present.Select(place => (double)x[place]), .. workspace.Levels[0].NodeX]);
        }

        var (first, ofFirst) = Apply(1);
        var (second, ofSecond) = Apply(2);
        double Product(double[] a, double[] b) => a.Zip(b, (u, v) => u * v).Sum();
        double energy = Product(ofFirst, first), ofOther = Product(ofSecond, second);
        Assert.True(energy > 0 && ofOther > 0);
        var scale = Math.Sqrt(energy * ofOther);
        Assert.Equal(Product(ofFirst, second) / scale, Product(first, ofSecond) / scale, 1e-5);
    }

    /// <summary>Places of the black cells that there are.</summary>
    private static int[] Present(ConductanceGrid grid, Shape shape)
    {
        List<int> places = [];
        for (var s = 0; s < grid.Sheets; s++)
        {
            for (var y = 0; y < grid.Rows; y++)
            {
                for (var x = 0; x < grid.Columns; x++)
                {
                    if (Shape.ColorOf(x, y) == 1 && IsTied(grid, x, y, s)) places.Add(shape.ColumnStart(x, y) + (s * shape.Half));
                }
            }
        }

        return [.. places];
    }

    private static bool IsTied(ConductanceGrid grid, int x, int y, int s)
    {
        int plane = grid.Columns * grid.Rows, i = (s * plane) + (y * grid.Columns) + x;
        return grid.East[i] > 0 || grid.North[i] > 0 || (x > 0 && grid.East[i - 1] > 0) || (y > 0 && grid.North[i - grid.Columns] > 0);
    }
}
