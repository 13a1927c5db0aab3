using HeatSpread.Insight;
using Xunit;

namespace HeatSpread.Tests.Insight;

public class HotSpotsTests
{
    private const int Columns = 60, Rows = 40;

    [Fact]
    public void TwoHillsWithAValleyBetweenAreTwo()
    {
        float[] celsius = Field((x, y) => 25 + Hill(x, y, 15, 20, 40) + Hill(x, y, 42, 20, 25));
        Assert.Equal([Cell(15, 20), Cell(42, 20)], HotSpots.ProminentMaxima(celsius, Columns, prominence: 2));
    }

    [Fact]
    public void AShoulderOfLittleProminenceIsNone()
    {
        float[] celsius = Field((x, y) => 25 + Hill(x, y, 15, 20, 40) + (x == 22 && y == 20 ? 6.5 : 0));
        Assert.Equal([Cell(15, 20), Cell(22, 20)], HotSpots.ProminentMaxima(celsius, Columns, prominence: 0.1));
        Assert.Equal([Cell(15, 20)], HotSpots.ProminentMaxima(celsius, Columns, prominence: 7));
    }

    [Fact]
    public void ProminenceIsTheFallToTheSaddle()
    {
        // one line of cells: 10, a saddle at 4, a lower top at 7
        float[] celsius = [1, 10, 6, 4, 7, 2];
        Assert.Equal([1, 4], HotSpots.ProminentMaxima(celsius, 6, prominence: 3));
        Assert.Equal([1], HotSpots.ProminentMaxima(celsius, 6, prominence: 3.01));
    }

    [Fact]
    public void CellsOutsideTheBoardSeparate()
    {
        float[] celsius = [5, float.NaN, 4];
        Assert.Equal([0, 2], HotSpots.ProminentMaxima(celsius, 3, prominence: 100));
    }

    [Fact]
    public void AnEvenFieldHasOne() => Assert.Single(HotSpots.ProminentMaxima(Field((_, _) => 40), Columns, prominence: 0.05));

    [Fact]
    public void TheRightEdgeDoesNotTouchTheLeft()
    {
        // two columns of rows: a hot cell at each row's end and a cold middle
        float[] celsius = [9, 0, 8, 9, 0, 8];
        Assert.Equal(2, HotSpots.ProminentMaxima(celsius, 3, prominence: 5).Count);
    }

    [Fact]
    public void OneSpotOnAllLayersCountsOnceAndIsPlacedOnTheHottest()
    {
        var board = SampleBoards.TwoLayers(width: 12e-3, height: 8e-3);
        var solution = SampleBoards.Solved(board, pitch: 0.2e-3, (layer, x, y) => (layer == 0 ? 60 : 61) - 1e6 * ((x - 4e-3) * (x - 4e-3) + (y - 4e-3) * (y - 4e-3)));
        var spot = Assert.Single(HotSpots.Find(board, SampleBoards.StillRoom, solution));
        Assert.Equal((1, 1, "GND", "U1"), (spot.Rank, spot.Layer, spot.Net, spot.Part));
        Assert.Equal(4e-3, spot.At.X, 0.15e-3);
    }

    [Fact]
    public void SpotsNearerThanTheLeastDistanceAreOne()
    {
        var board = SampleBoards.TwoLayers(width: 12e-3, height: 8e-3);
        var solution = SampleBoards.Solved(board, pitch: 0.1e-3, (_, x, y) => 50 + 20 * Math.Cos(2 * Math.PI * x / 0.5e-3));
        var spots = HotSpots.Find(board, SampleBoards.StillRoom, solution);
        Assert.InRange(spots.Count, 2, HotSpots.Most);
        Assert.All(spots, a => Assert.All(spots, b => Assert.True(a == b || double.Hypot(a.At.X - b.At.X, a.At.Y - b.At.Y) >= HotSpots.LeastDistance)));
    }

    private static int Cell(int column, int row) => row * Columns + column;

    private static float[] Field(Func<int, int, double> celsius) =>
        [.. from y in Enumerable.Range(0, Rows) from x in Enumerable.Range(0, Columns) select (float)celsius(x, y)];

    private static double Hill(int x, int y, int atX, int atY, double height) => height * Math.Exp(-((x - atX) * (x - atX) + (y - atY) * (y - atY)) / 50.0);
}
