using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>How far reported temperatures may be off for the grid's sake, K.</summary>
/// <param name="Peak">Of the hottest cell.</param>
/// <param name="Parts">One a part: of its <see cref="PartSummary.MaxCelsius"/>.</param>
/// <param name="Probes">One a probe.</param>
/// <param name="Worst">
/// Greatest of peak, probes, and the parts that make heat or have a limit with the terminals that heat goes through. The pads of idle parts and pins are left out: narrower than a cell,
/// they say little of the grid and would drown the rest.
/// </param>
internal sealed record GridErrors(double Peak, IReadOnlyList<double> Parts, IReadOnlyList<double> Probes, double Worst)
{
    /// <summary>Whether a gain may be claimed: it is above the grid error of the part's own temperature.</summary>
    public bool Allow(Gain gain) => gain.Kelvin > 0 && gain.Kelvin >= Parts[gain.Part];

    /// <summary>Grids that are coarser than the answer's, and by how much their cells are; empty where none are known.</summary>
    public IReadOnlyList<(TemperatureField Field, double Ratio)> Coarser { get; init; } = [];

    /// <summary>How far a jump of temperature across a gap may be off for the grid's sake, K.</summary>
    /// <param name="answer">The field.</param>
    /// <param name="jump">Where it is read.</param>
    public double OfJump(TemperatureField answer, GapJump jump) =>
        Coarser.Select(coarser => GridError.JumpBound(jump.In(coarser.Field, coarser.Field.Grid) - jump.In(answer, coarser.Field.Grid), coarser.Ratio)).DefaultIfEmpty(0).Max();
}

/// <summary>
/// How far reported temperatures may be off for the grid's sake, told from coarser grids of the same board.
/// <para>
/// Richardson's extrapolation (L. F. Richardson, Phil. Trans. R. Soc. A 210, 1911): where the error falls with the square of the pitch, a grid coarser by k is off by k² times as much,
/// and the difference over k² − 1 is the error. Copper, pads and cuts meet the cells of every grid at other places, and small pads on bare laminate converge with the first order, so that one
/// difference is small by accident now and then, and so are several at one place. Therefore the root mean square of all grids' errors is taken, of the reading and, by a share, of the places up to three cells away from it,
/// and a little of the rise over ambient, which falls with the size of the cells, as no grid tells the last of it. <see cref="Coverage"/> times that is the bound. The factors are measured, not derived (P. J. Roache's
/// grid convergence index, J. Fluids Eng. 116, 1994, has 1.25 to 3 in its place for smooth fields): with them the bound holds for 95 of 100 temperatures of random boards; see the benchmark <c>grid-error</c>.
/// The grids refine the plan; the rows of the stack stay as they are.
/// </para>
/// </summary>
internal static class GridError
{
    private const double Coverage = 4.82;

    /// <summary>Weight of what is told around the reading.</summary>
    private const double ShareAround = 0.3;

    /// <summary>Of its rise over ambient, per metre of the finest grid's cells.</summary>
    private const double ShareOfRise = 0.4;

    /// <summary>Of a jump across a gap: the greatest grid's error times this bounds 95 of 100 readings at a point; jumps are as coarse a reading, and were not calibrated by themselves.</summary>
    private const double JumpCoverage = 5.8;

    /// <param name="board">The board.</param>
    /// <param name="ambientCelsius">Over which temperatures rise.</param>
    /// <param name="answer">Whose errors are asked for.</param>
    /// <param name="finest">It or a finer grid.</param>
    /// <param name="coarser">Grids coarser than the finest, at least one.</param>
    public static GridErrors Estimate(Board board, double ambientCelsius, GridSolution answer, GridSolution finest, IReadOnlyList<GridSolution> coarser)
    {
        var (answered, best, places) = (ReportedCelsius(board, answer.Field), ReportedCelsius(board, finest.Field), ReadingPlace.OfReported(board, finest.Field));
        var others = coarser.Select(grid => (grid.Field, Celsius: ReportedCelsius(board, grid.Field), Ratio: Ratio(grid, finest))).ToArray();
        TemperatureField[] fields = [.. others.Select(other => other.Field)];
        var around = new Dictionary<ReadingPlace, double>();
        double cell = Math.Sqrt(finest.Field.Grid.CellArea);
        double Bound(int reading)
        {
            var (celsius, place) = (best[reading].Celsius, places[reading]);
            double own = others.Average(other => Math.Pow(Error(other.Celsius[reading].Celsius - celsius, other.Ratio), 2));
            if (!around.TryGetValue(place, out double beside))
            {
                beside = place.MeanSquaresAround(finest.Field, fields).Zip(others, (square, other) => Error(Error(square, other.Ratio), other.Ratio)).Average();
                around.Add(place, beside); // nodes of a part have one place
            }
            double told = Math.Sqrt(own) + ShareAround * Math.Sqrt(beside) + ShareOfRise * cell * Math.Abs(celsius - ambientCelsius);
            return Math.Abs(answered[reading].Celsius - celsius) + Coverage * place.Factor * told;
        }

        int parts = board.Parts.Count, probes = board.Probes.Count;
        double[] errors = [.. Enumerable.Range(0, answered.Length).Select(i => i < 1 + parts + probes || answered[i].Counts ? Bound(i) : 0)];
        double worst = errors.Where((_, i) => answered[i].Counts).Max();
        var below = coarser.Where(grid => grid.Field.Grid.CellArea > answer.Field.Grid.CellArea).Select(grid => (grid.Field, Ratio(grid, answer)));
        return new(errors[0], errors[1..(1 + parts)], errors[(1 + parts)..(1 + parts + probes)], worst) { Coarser = [.. below] };
    }

    /// <summary>The bound on the error of a jump across a gap that one coarser grid gives.</summary>
    /// <param name="difference">Of what two grids tell, K.</param>
    /// <param name="ratio">By how much the coarser one's cells are larger.</param>
    public static double JumpBound(double difference, double ratio) => JumpCoverage * Math.Abs(Error(difference, ratio));

    /// <summary>Of the finer grid, for what two grids tell otherwise.</summary>
    private static double Error(double difference, double ratio) => difference / (ratio * ratio - 1);

    /// <summary>Greatest difference between two fields of a reported temperature that counts for <see cref="GridErrors.Worst"/>, K.</summary>
    public static double WorstDifference(Board board, TemperatureField first, TemperatureField second) =>
        ReportedCelsius(board, first).Zip(ReportedCelsius(board, second)).Where(pair => pair.First.Counts).Max(pair => Math.Abs(pair.First.Celsius - pair.Second.Celsius));

    /// <summary>By how much the cells are larger.</summary>
    private static double Ratio(GridSolution coarser, GridSolution finest)
    {
        BoardGrid large = coarser.Field.Grid, small = finest.Field.Grid;
        return Math.Max(1.2, Math.Sqrt(large.CellArea / small.CellArea));
    }

    /// <summary>Peak, parts, probes, then nodes and terminals of the parts; always in the same order, which <see cref="ReadingPlace.OfReported"/> keeps too.</summary>
    private static (double Celsius, bool Counts)[] ReportedCelsius(Board board, TemperatureField field)
    {
        var reported = new List<(double, bool)> { (field.RowCelsius.Max(Hottest), true) };
        bool Counts(int part) => field.Parts[part].Watts != 0 || board.Parts[part].LimitCelsius is not null;
        for (int part = 0; part < board.Parts.Count; part++) reported.Add((field.Parts[part].MaxCelsius, Counts(part)));
        foreach (var probe in FieldReadings.Probes(board, field)) reported.Add((probe.Celsius, true));
        for (int part = 0; part < board.Parts.Count; part++)
        {
            var temperatures = field.Parts[part];
            foreach (double celsius in temperatures.NodeCelsius) reported.Add((celsius, Counts(part)));
            for (int i = 0; i < temperatures.TerminalCelsius.Count; i++) reported.Add((temperatures.TerminalCelsius[i], Counts(part) && temperatures.TerminalWatts[i] != 0));
        }
        return [.. reported];
    }

    private static double Hottest(float[] cells)
    {
        float hottest = float.NegativeInfinity;
        foreach (float celsius in cells)
        {
            if (celsius > hottest) hottest = celsius; // NaN compares false
        }
        return hottest;
    }
}
