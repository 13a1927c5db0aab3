using System.Text;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Insight.Studies;
using HeatSpread.Thermal;
using Xunit;

namespace HeatSpread.Tests.Insight.Studies;

/// <summary>A small board with all that a study varies.</summary>
internal static class StudyBoards
{
    public const string Layout = """
        {
          "name": "study", "unit": "mm",
          "outline": { "type": "Polygon", "coordinates": [[[0, 0], [20, 0], [20, 12], [0, 12], [0, 0]]] },
          "stack": [
            { "kind": "copper", "name": "L1", "thicknessUm": 35 },
            { "kind": "dielectric", "thicknessUm": 400, "material": "fr4" },
            { "kind": "copper", "name": "L2", "thicknessUm": 35 }
          ],
          "nets": [{ "name": "GND" }, { "name": "OUT" }],
          "copper": [
            { "layer": "L1", "net": "GND", "area": { "type": "Polygon", "coordinates": [[[1, 1], [9, 1], [9, 11], [1, 11], [1, 1]]] } },
            { "layer": "L1", "net": "OUT", "track": { "path": [[12, 6], [18, 6]], "width": 1 }, "clearance": 0.2 },
            { "layer": "L2", "net": "GND", "area": { "type": "Polygon", "coordinates": [[[1, 1], [19, 1], [19, 11], [1, 11], [1, 1]]] } }
          ],
          "vias": [{ "net": "GND", "drill": 0.3, "pad": 0.6, "array": { "origin": [3, 4], "columns": 3, "rows": 3, "pitch": [1, 1] } }],
          "parts": [
            { "id": "U1", "watts": 1, "limitCelsius": 90,
              "terminals": [{ "name": "1", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[3, 4], [5, 4], [5, 6], [3, 6], [3, 4]]] } }],
              "network": { "nodes": ["junction"], "links": [{ "from": "junction", "to": "terminal:1", "kelvinPerWatt": 5 }], "heatAt": "junction" } },
            { "id": "R1", "watts": 0.4, "limitCelsius": 120,
              "terminals": [{ "name": "1", "net": "OUT", "pad": { "type": "Polygon", "coordinates": [[[12, 5], [14, 5], [14, 7], [12, 7], [12, 5]]] } }] }
          ],
          "probes": [{ "name": "TP1", "layer": "L2", "at": [10.3, 5.7] }]
        }
        """;

    public const string Films = """
        { "ambientCelsius": 25, "surfaces": { "top": { "filmWattsPerM2K": 30 }, "bottom": { "filmWattsPerM2K": 20 } },
          "contacts": [{ "name": "boss", "side": "bottom", "area": { "type": "Polygon", "coordinates": [[[16, 2], [19, 2], [19, 4], [16, 4], [16, 2]]] }, "wattsPerM2K": 500, "sinkCelsius": 40 }],
          "limits": { "boardCelsius": 100 } }
        """;

    public const string Air = """
        { "ambientCelsius": 25, "surfaces": { "top": { "stillAir": { "orientation": "faceUp" } }, "bottom": { "movingAir": { "metresPerSecond": 2, "along": "x" } } } }
        """;

    public static StudyCases Cases(string conditions = Films, string layout = Layout)
    {
        var reading = LayoutReading.ReadBoard(Encoding.UTF8.GetBytes(layout));
        Assert.Empty(reading.Faults);
        return new(LayoutWriter.Write(reading.Document!), Encoding.UTF8.GetBytes(conditions), reading.Board!, "mm");
    }

    public static StudySolver Solver(StudyCases cases, double pitchMm = 0.5) =>
        StudySolver.Start(cases, new GridChoice(pitchMm * 1e-3, null), new SolveCapacity(2), progress: null, TestContext.Current.CancellationToken);

    /// <summary>Axes as they are posted; they must be sound.</summary>
    public static IReadOnlyList<StudyAxis> Axes(StudyCases cases, string json, AxisUse use = AxisUse.Sweep)
    {
        var state = new ReadingState(LayoutLimits.Default);
        var axes = Read(cases, json, use, state);
        Assert.Empty(state.Faults.Faults());
        return [.. axes.Select(axis => axis!)];
    }

    public static IReadOnlyList<StudyAxis?> Read(StudyCases cases, string json, AxisUse use, ReadingState state)
    {
        using var posted = JsonDocument.Parse(json);
        using var conditions = JsonDocument.Parse(cases.Root["conditions"]!.ToJsonString());
        var reader = new AxisReader(Encoding.UTF8.GetBytes(cases.Root["layout"]!.ToJsonString()), conditions.RootElement, cases.Base.Board, 1000);
        return [.. posted.RootElement.EnumerateArray().Index().Select(axis => reader.Read(axis.Item, JsonPointer.Root("/axes")[axis.Index], use, state))];
    }

    public static List<PointResult> Run(StudyCases cases, StudySolver solver, StudyPlan plan, IReadOnlySet<int>? done = null)
    {
        var results = new List<PointResult>();
        new StudyRun(cases, solver, plan, TestContext.Current.CancellationToken).Run(done ?? new HashSet<int>(), results.Add);
        return [.. results.OrderBy(result => result.Index)];
    }

    /// <summary>The same case from nothing: drawn, assembled and solved by itself.</summary>
    public static SolvedNetwork Direct(StudyCase studied, double pitchMm = 0.5)
    {
        var token = TestContext.Current.CancellationToken;
        var raster = CopperRaster.Build(studied.Board, BoardGrid.Over(studied.Board.Outline.Bounds, pitchMm * 1e-3), token);
        return ThermalSolve.Run(studied.Board, studied.Conditions, raster, new SolveCapacity(2), ThermalSolve.Tolerance, progress: null, token);
    }
}
