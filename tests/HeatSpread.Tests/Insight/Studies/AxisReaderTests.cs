using HeatSpread.Boards;
using HeatSpread.Insight.Studies;
using Xunit;

namespace HeatSpread.Tests.Insight.Studies;

public class AxisReaderTests
{
    [Fact]
    public void EveryFaultOfEveryAxisIsTold()
    {
        const string json = """
            [{ "quantity": "watts", "part": "U9", "values": [1] }, { "quantity": "ambient", "values": [] }, { "pointer": "/layout/nothing/0", "from": 1, "to": 2 },
             { "quantity": "viaCount", "via": 3, "values": [1, "x"] }, { "quantity": "orientation", "values": ["up"] }, { "quantity": "outputAmps", "values": [1], "distribution": {} },
             { "quantity": "ambientCelsius", "part": "U1", "values": [1], "from": 3 }, { "values": [1] }, { "quantity": "conductivity", "material": "alumina", "relative": false, "values": [1] }]
            """;
        Assert.Equal(
            [
                "/axes/0/part", "/axes/1/quantity", "/axes/1/values", "/axes/2", "/axes/2/pointer", "/axes/3/values", "/axes/3/via", "/axes/4/quantity", "/axes/5/distribution", "/axes/5/quantity", "/axes/6/from",
                "/axes/6/part", "/axes/7", "/axes/8/material",
            ],
            Pointers(json, AxisUse.Sweep));
    }

    [Fact]
    public void EveryFaultOfADistributionIsTold()
    {
        const string json = """
            [{ "quantity": "ambientCelsius", "values": [1] }, { "quantity": "watts", "part": "U1", "distribution": { "normal": { "mean": 1, "standardDeviation": 0 } } },
             { "quantity": "watts", "part": "R1", "distribution": { "uniform": { "least": 3, "most": 1, "mode": 2 } } }, { "quantity": "drill", "via": 0, "distribution": { "triangular": { "least": 1, "mode": 4, "most": 2 } } },
             { "quantity": "viaCount", "via": 0, "distribution": { "uniform": { "least": 3, "most": 9 } } }]
            """;
        Assert.Equal(
            ["/axes/0", "/axes/0/values", "/axes/1/distribution/normal/standardDeviation", "/axes/2/distribution/uniform/mode", "/axes/2/distribution/uniform/most", "/axes/3/distribution/triangular/mode", "/axes/4/distribution"],
            Pointers(json, AxisUse.Sample));
    }

    [Fact]
    public void RelativeValuesAreMultiplesOfTheBase()
    {
        var cases = StudyBoards.Cases();
        var axes = StudyBoards.Axes(cases, """
            [{ "quantity": "watts", "part": "R1", "relative": true, "values": [2] }, { "quantity": "copperThicknessUm", "relative": true, "values": [3] }, { "quantity": "conductivity", "material": "fr4", "values": [1.5] },
             { "quantity": "filmWattsPerM2K", "relative": true, "values": [0.5] }]
            """);
        var (board, conditions) = cases.At(axes, [2, 3, 1.5, 0.5]);
        Assert.Equal(0.8, conditions.Watts[1], 1e-12);
        Assert.All(board.Layers, layer => Assert.Equal(105e-6, board.Rows[layer.Row].Thickness, 1e-12));
        var fr4 = Materials.Find("fr4")!.Conductivity;
        Assert.All(board.Rows, row => Assert.Equal(1.5 * fr4.InPlane, row.Fill.InPlane, 1e-12)); // between the copper too
        Assert.Equal((new FilmSurface(15), new FilmSurface(10)), (conditions.Top, conditions.Bottom));
    }

    private static IEnumerable<string> Pointers(string json, AxisUse use)
    {
        var state = new ReadingState(LayoutLimits.Default);
        StudyBoards.Read(StudyBoards.Cases(), json, use, state);
        return state.Faults.Faults().Select(fault => fault.Pointer).Distinct().Order(StringComparer.Ordinal);
    }
}
