using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight;

/// <summary>A plain board and a field laid upon it by formula, for what reads fields.</summary>
internal static class SampleBoards
{
    public static Conditions StillRoom { get; } = new()
    {
        AmbientCelsius = 25,
        Top = new FilmSurface(10),
        Bottom = new FilmSurface(10),
        EdgesFilm = 0,
        Contacts = [],
        Watts = new Dictionary<int, double>(),
        BoardLimitCelsius = 100,
    };

    /// <summary>Two whole layers of GND with a dielectric between, one part U1 over the left half and a probe at (3, 3) mm on L2.</summary>
    public static Board TwoLayers(double width, double height, double? limitCelsius = 80) => new()
    {
        Name = "sample",
        Revision = "A",
        Outline = Rectangle(0, 0, width, height),
        Rows =
        [
            new() { Kind = StackRowKind.Mask, Thickness = 20e-6, Fill = new(0.25, 0.25) },
            new() { Kind = StackRowKind.Copper, Name = "L1", Thickness = 35e-6, Fill = new(0.3, 0.3), CopperConductivity = 390 },
            new() { Kind = StackRowKind.Dielectric, Thickness = 1.5e-3, Fill = new(0.8, 0.3) },
            new() { Kind = StackRowKind.Copper, Name = "L2", Thickness = 35e-6, Fill = new(0.3, 0.3), CopperConductivity = 390 },
        ],
        Layers = [new("L1", 1), new("L2", 3)],
        Nets = [new("GND", [], false)],
        Copper = [.. new[] { 0, 1 }.Select(layer => new CopperFeature { Layer = layer, Net = 0, Area = Rectangle(0, 0, width, height) })],
        Vias = [],
        Parts =
        [
            new()
            {
                Id = "U1",
                Kind = "ic",
                Side = BoardSide.Top,
                Body = Rectangle(0, 0, width / 2, height),
                Terminals = [new("GND", 0, Rectangle(1e-3, 1e-3, 2e-3, 2e-3))],
                Watts = 1,
                LimitCelsius = limitCelsius,
                Network = new(["junction"], [new(0, PartLinkTarget.Terminal, 0, 5)], [1]),
            },
        ],
        Probes = [new("TP1", 1, new(3e-3, 3e-3))],
    };

    /// <summary>A solution whose rows follow a formula of (layer, x, y); rows that are not copper take the colder of the layers.</summary>
    public static GridSolution Solved(Board board, double pitch, Func<int, double, double, double> celsius, PartTemperatures? part = null)
    {
        var grid = BoardGrid.Over(board.Outline.Bounds, pitch);
        float[] Row(int layer) => [.. Enumerable.Range(0, grid.CellCount).Select(cell =>
        {
            var at = grid.Centre(cell % grid.Columns, cell / grid.Columns);
            return (float)(layer >= 0 ? celsius(layer, at.X, at.Y) : Math.Min(celsius(0, at.X, at.Y), celsius(1, at.X, at.Y)));
        })];
        int LayerOf(int row) => board.Layers.Select((layer, i) => layer.Row == row ? i + 1 : 0).Max() - 1;
        float[][] rows = [.. Enumerable.Range(0, board.Rows.Count).Select(row => Row(LayerOf(row)))];
        var field = new TemperatureField
        {
            Grid = grid,
            RowCelsius = rows,
            TopFaceCelsius = rows[0],
            BottomFaceCelsius = rows[^1],
            Parts = [part ?? new(1, [70], [60], [1], 60)],
            Heat = new(1, 0.5, 0.5, 0, [], 0),
            Solve = new(grid.CellCount * rows.Length, 10, 1e-10, 0.1, 0.2),
        };
        return new(pitch, CopperRaster.Build(board, grid, TestContext.Current.CancellationToken), field, null, 0, 0);
    }

    public static Region Rectangle(double left, double lower, double right, double upper) =>
        new([new Polygon([new(left, lower), new(right, lower), new(right, upper), new(left, upper)])]);
}
