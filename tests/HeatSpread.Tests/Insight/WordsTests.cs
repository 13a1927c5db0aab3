using HeatSpread.Insight;
using Xunit;

namespace HeatSpread.Tests.Insight;

/// <summary>Numbers are told no finer than the grid's error lets them be known.</summary>
public class WordsTests
{
    [Theory]
    [InlineData(3.456, 0.1, "3.5 K")]
    [InlineData(0.04, 0.01, "less than 0.1 K")]
    [InlineData(9.96, 0.1, "10 K")]
    [InlineData(17.56, 0.43, "18 K")]
    [InlineData(3.456, 0.6, "3 K")]
    [InlineData(0.3, 0.6, "less than 1 K")]
    [InlineData(163.4, 4.9, "163 K")]
    [InlineData(163.4, 16.9, "160 K")]
    [InlineData(13.97, 6.8, "10 K")]
    [InlineData(3, 6.8, "less than 10 K")]
    [InlineData(264, 80, "300 K")]
    [InlineData(0, 0.1, "0.0 K")]
    public void Kelvin(double kelvin, double gridError, string expected) => Assert.Equal(expected, Words.Kelvin(kelvin, gridError));

    [Theory]
    [InlineData(0.67, 0.2, "about 0.7 K")]
    [InlineData(3.6, 0.2, "about 4 K")]
    [InlineData(36, 12, "about 40 K")]
    public void About(double kelvin, double gridError, string expected) => Assert.Equal(expected, Words.About(kelvin, gridError));

    [Theory]
    [InlineData(0.43, "0.4 K")]
    [InlineData(0.93, "0.9 K")]
    [InlineData(1.21, "1 K")]
    [InlineData(11.4, "11 K")]
    public void Bound(double gridError, string expected) => Assert.Equal(expected, Words.Bound(gridError));

    [Theory]
    [InlineData(0.0002, "less than 0.001 W")]
    [InlineData(0.0731, "0.073 W")]
    [InlineData(1.4, "1.40 W")]
    public void Watts(double watts, string expected) => Assert.Equal(expected, Words.Watts(watts));
}
