using HeatSpread.Insight.Studies;
using Xunit;

namespace HeatSpread.Tests.Insight.Studies;

public class StudyRunTests
{
    private const double Kelvin = 1e-6;

    [Fact]
    public void SumsOfAHandfulOfFieldsAreWhatDirectSolvesGive()
    {
        var cases = StudyBoards.Cases();
        using var solver = StudyBoards.Solver(cases);
        var axes = StudyBoards.Axes(cases, """
            [{ "quantity": "ambientCelsius", "from": -20, "to": 85, "count": 8 }, { "quantity": "watts", "part": "U1", "from": 0, "to": 3, "count": 7 }, { "pointer": "/conditions/contacts/0/sinkCelsius", "values": [20, 70] }]
            """);
        var plan = StudyPlan.Grid(axes);
        var results = StudyBoards.Run(cases, solver, plan);
        Assert.Equal(8 * 7 * 2, results.Count);
        Assert.All(results, result => Assert.True(result.IsSuperposed));
        Assert.Equal(3, solver.Cost.Solves); // the base, its other watts, its other sinks
        foreach (int point in (int[])[0, 17, 60, 111]) AssertIsDirect(cases, plan, results[point]);
    }

    [Fact]
    public void FilmsThatDependOnTemperatureAreSolvedAtEveryPoint()
    {
        var cases = StudyBoards.Cases(StudyBoards.Air);
        using var solver = StudyBoards.Solver(cases);
        var axes = StudyBoards.Axes(cases, """
            [{ "quantity": "ambientCelsius", "values": [25, 60] }, { "quantity": "watts", "part": "R1", "values": [0.1, 1.5] }, { "quantity": "metresPerSecond", "values": [1, 4] }, { "quantity": "orientation", "values": ["vertical", "faceDown"] }]
            """);
        var plan = StudyPlan.Grid(axes);
        var results = StudyBoards.Run(cases, solver, plan);
        Assert.Equal(16, results.Count);
        Assert.All(results, result => Assert.False(result.IsSuperposed));
        foreach (var result in results) AssertIsDirect(cases, plan, result, 1e-5);
        Assert.Equal((1, 1), (solver.Cost.Rasters, solver.Cost.SetUps)); // the board stays
    }

    /// <summary>Whatever is kept of the case before, the answer is that of a case from nothing.</summary>
    [Theory]
    [InlineData("""[{ "quantity": "copperThicknessUm", "layer": "L2", "values": [18, 105] }, { "quantity": "watts", "part": "U1", "values": [0.5, 2] }]""", 0)]
    [InlineData("""[{ "quantity": "viaCount", "via": 0, "values": [0, 1, 9, 14, 30] }]""", 4)]
    [InlineData("""[{ "quantity": "drill", "via": 0, "values": [0.2, 0.5] }, { "quantity": "platingUm", "via": 0, "values": [18, 35] }]""", 0)]
    [InlineData("""[{ "quantity": "trackWidth", "copper": 1, "values": [0.3, 2.5] }]""", 2)]
    [InlineData("""[{ "quantity": "conductivity", "material": "fr4", "values": [0.8, 1.2, 1.4] }]""", 3)]
    [InlineData("""[{ "quantity": "filmWattsPerM2K", "side": "top", "values": [5, 29, 200] }, { "quantity": "ambientCelsius", "values": [0, 50] }]""", 0)]
    [InlineData("""[{ "pointer": "/layout/parts/0/network/links/0/kelvinPerWatt", "values": [1, 20] }, { "pointer": "/layout/outline/coordinates/0/1/0", "values": [20, 21] }]""", null)]
    public void VariantsOfTheLayoutAreWhatDirectSolvesGive(string json, int? rasters)
    {
        var cases = StudyBoards.Cases();
        using var solver = StudyBoards.Solver(cases);
        var plan = StudyPlan.Grid(StudyBoards.Axes(cases, json));
        var results = StudyBoards.Run(cases, solver, plan);
        Assert.Equal(plan.Points.Count, results.Count);
        foreach (var result in results) AssertIsDirect(cases, plan, result, 2e-5); // what is drawn in a window is so to the rounding of single precision
        if (rasters is { } expected) Assert.Equal(1 + expected, solver.Cost.Rasters); // only what is drawn otherwise
    }

    [Fact]
    public void WhatIsDoneIsNotDoneAgain()
    {
        var cases = StudyBoards.Cases(StudyBoards.Air);
        using var solver = StudyBoards.Solver(cases);
        var plan = StudyPlan.List(StudyBoards.Axes(cases, """[{ "quantity": "ambientCelsius", "values": [25, 30, 35] }, { "quantity": "watts", "part": "U1", "values": [0.1, 0.2, 0.3] }]"""));
        int before = solver.Cost.Solves;
        Assert.Equal([1], StudyBoards.Run(cases, solver, plan, new HashSet<int> { 0, 2 }).Select(result => result.Index));
        Assert.Equal(before + 1, solver.Cost.Solves);
    }

    [Fact]
    public void APointThatIsNoSoundCaseSaysSoAndTheOthersStand()
    {
        var cases = StudyBoards.Cases();
        using var solver = StudyBoards.Solver(cases);
        var plan = StudyPlan.Grid(StudyBoards.Axes(cases, """[{ "quantity": "platingUm", "via": 0, "values": [25, 400] }]"""));
        var results = StudyBoards.Run(cases, solver, plan);
        Assert.Null(results[0].Problem);
        Assert.Equal("/layout/vias/0/platingUm", Assert.IsType<StudyCaseException>(results[1].Problem).Faults[0].Pointer);
    }

    private static void AssertIsDirect(StudyCases cases, StudyPlan plan, PointResult result, double kelvin = Kelvin)
    {
        Assert.Null(result.Problem);
        var studied = cases.At(plan.Axes, plan.Points[result.Index]);
        using var direct = StudyBoards.Direct(studied);
        for (int part = 0; part < result.PartCelsius.Count; part++) Assert.Equal(direct.ReadPart(part).MaxCelsius, result.PartCelsius[part], kelvin);
        double peak = double.NegativeInfinity;
        for (int row = 0; row < studied.Board.Rows.Count; row++)
        {
            foreach (double rise in direct.RowRise(row)) peak = Math.Max(peak, rise);
        }
        Assert.Equal(studied.Conditions.AmbientCelsius + peak, result.PeakCelsius, kelvin);
        double probe = HeatSpread.Insight.FieldReadings.Probes(studied.Board, direct.Read())[0].Celsius;
        Assert.Equal(probe, result.ProbeCelsius[0], 1e-4); // the field as it is stored is in single precision
    }
}
