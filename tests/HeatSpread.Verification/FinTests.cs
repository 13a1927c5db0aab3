using HeatSpread.Boards;
using HeatSpread.Verification.ClosedForms;
using HeatSpread.Verification.Support;
using Xunit;
using static HeatSpread.Verification.Support.Sketch;

namespace HeatSpread.Verification;

/// <summary>A long strip heated at one end and cooled by films: spreading along one direction, straight and slanted.</summary>
public class FinTests(CheckTable checks)
{
    private const string Source = "fin with insulated tip (Incropera, DeWitt, Fundamentals of Heat and Mass Transfer, ch. 3.6)";
    private const double Length = 100 * Millimetre, Width = 4 * Millimetre, Thickness = 0.5 * Millimetre, Heated = 5 * Millimetre;
    private const double Conductivity = 200, Film = 50, Watts = 1;

    private static readonly Fin fin = new(Length, Heated, Conductivity * Width * Thickness, 2 * Film * Width, Watts);

    [Fact]
    public void StripAlongX()
    {
        var strip = Rectangle(0, 0, Length, Width);
        var board = Board(strip, [Copper("L1", Thickness, Conductivity)], [Pour(strip)], [OnPad("Q1", Rectangle(0, 0, Heated, Width), Watts)]);
        Compare("strip along x", board, p => p, 0.5 * Millimetre, allowed: 1e-3);
    }

    /// <summary>The rim cuts the cells aslant; each must carry and lose heat by its share of board.</summary>
    [Theory]
    [InlineData(0.5, 0.04)]
    [InlineData(0.25, 0.02)]
    public void StripAtThirtyDegrees(double pitchMillimetres, double allowed)
    {
        var (sin, cos) = Math.SinCos(Math.PI / 6);
        Point Turn(Point p) => new(p.X * cos - p.Y * sin, p.X * sin + p.Y * cos);
        var strip = Rectangle(0, 0, Length, Width).Map(Turn);
        var board = Board(strip, [Copper("L1", Thickness, Conductivity)], [Pour(strip)], [OnPad("Q1", Rectangle(0, 0, Heated, Width).Map(Turn), Watts)]);
        Compare($"strip at 30°, pitch {pitchMillimetres} mm", board, Turn, pitchMillimetres * Millimetre, allowed);
    }

    private void Compare(string name, Board board, Func<Point, Point> place, double pitch, double allowed)
    {
        var field = Solve(board, Surroundings(Film, Film), pitch);
        foreach (double x in new[] { 0.25e-3, 10.25e-3, 40.25e-3, 99.75e-3 })
        {
            var at = place(new(x, Width / 2 - 0.25e-3));
            checks.Relative($"fin, {name}", Source, $"rise at {x * 1e3:F1} mm, K", fin.Rise(x), Insight.FieldSample.At(field.Grid, field.RowCelsius[0], at), allowed);
        }
    }
}
