using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Verification.Support;

namespace HeatSpread.Benchmarks;

/// <summary>The demo board of the fixtures on a grid of about so many unknowns.</summary>
internal sealed record DemoBoard(Board Board, Conditions Conditions, double Pitch)
{
    public static DemoBoard WithUnknowns(double unknowns)
    {
        var (board, conditions) = Read("demo-unbroken.json");
        var box = board.Outline.Bounds;
        return new(board, conditions, Math.Sqrt(box.Width * box.Height * ThermalSolve.SheetCount(board) / unknowns));
    }

    /// <summary>Canonical layout and conditions, UTF-8.</summary>
    public static (byte[] Layout, byte[] Conditions) Documents() =>
        (LayoutWriter.Write(LayoutReader.Read(File.ReadAllBytes(Fixture("demo-unbroken.json"))).Value!), File.ReadAllBytes(Fixture("demo-conditions.json")));

    /// <summary>A board of the demo and the demo's conditions, from whatever folder inside the clone the program is run.</summary>
    public static (Board Board, Conditions Conditions) Read(string file)
    {
        var layout = LayoutReader.Read(File.ReadAllBytes(Fixture(file))).Value!;
        var board = BoardBuilder.Build(layout).Value!;
        using var json = JsonDocument.Parse(File.ReadAllBytes(Fixture("demo-conditions.json")));
        return (board, ConditionsReader.Read(json.RootElement, "/conditions", board, layout.Unit).Value!);
    }

    public static string Fixture(string name) => Path.Combine(Repository.Root ?? throw new InvalidOperationException("Run it inside a clone: the demo board is in its fixtures."), "fixtures", "boards", name);

    public CopperRaster Raster() => CopperRaster.Build(Board, BoardGrid.Over(Board.Outline.Bounds, Pitch), CancellationToken.None);
}
