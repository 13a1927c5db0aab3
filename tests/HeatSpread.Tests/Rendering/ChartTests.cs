using HeatSpread.Rendering.Charts;
using SkiaSharp;
using Xunit;

namespace HeatSpread.Tests.Rendering;

public class ChartTests
{
    private static LineChart Chart(params ChartSeries[] series) => new("Load allowed against ambient", new("ambient, °C"), new("load, A", Least: 0), series);

    [Fact]
    public void TheSameChartIsTheSameBytes()
    {
        var chart = Chart(new ChartSeries("U1", [(0, 5), (50, 3), (100, 0)]));
        Assert.Equal(chart.Png(640), chart.Png(640));
        Assert.Equal(chart.Svg(640), chart.Svg(640));
    }

    [Fact]
    public void TheDrawingHoldsItsWords()
    {
        string svg = System.Text.Encoding.UTF8.GetString(Chart(new ChartSeries("U1 of the supply", [(0, 5), (50, 3), (100, 0)])).Svg(640));
        Assert.Contains("<svg", svg, StringComparison.Ordinal);
        Assert.DoesNotContain("NaN", svg, StringComparison.Ordinal);
    }

    /// <summary>Six lines in grey are six different pictures: each alone differs from every other by its dashes or lightness.</summary>
    [Fact]
    public void LinesDifferWithoutColour()
    {
        ChartSeries flat = new("", [(0, 2), (10, 2)]), nothing = new("", []);
        string[] drawn = [.. Enumerable.Range(0, 6).Select(place => Convert.ToHexString(Grey(Chart([.. Enumerable.Range(0, 6).Select(i => i == place ? flat : nothing)]).Png(480))))];
        Assert.Equal(6, drawn.Distinct().Count());
    }

    [Fact]
    public void WhatIsNotFiniteBreaksTheLine()
    {
        byte[] whole = Chart(new ChartSeries("", [(0, 1), (5, 1), (10, 1)])).Png(480), broken = Chart(new ChartSeries("", [(0, 1), (5, double.NaN), (10, 1)])).Png(480);
        Assert.NotEqual(whole, broken);
    }

    [Theory]
    [InlineData(0.0013, 870, 0.001, 1000)]
    [InlineData(1, 1, 0.1, 10)]
    public void DecadesHoldAllValues(double low, double high, double from, double to)
    {
        var scale = new ChartAxis("s", IsLogarithmic: true).Over([low, high]);
        Assert.InRange(low, scale.From, scale.To);
        Assert.InRange(high, scale.From, scale.To);
        Assert.InRange(scale.From, from * 0.99, low);
        Assert.InRange(scale.To, high, to * 1.01);
    }

    private static byte[] Grey(byte[] png)
    {
        using var bitmap = SKBitmap.Decode(png);
        return [.. bitmap.Pixels.Select(pixel => (byte)((pixel.Red * 299 + pixel.Green * 587 + pixel.Blue * 114) / 1000))];
    }
}
