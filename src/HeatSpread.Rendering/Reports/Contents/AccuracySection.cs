namespace HeatSpread.Rendering.Reports;

/// <summary>What the numbers are worth.</summary>
internal static class AccuracySection
{
    public static ReportSection Of(ReportSubject subject) => new("Accuracy", [
        new FactList([.. Facts(subject)]),
        new Paragraph("The bound on the grid's error comes from the same board solved on four coarser grids; it was calibrated on random boards, where it held for 94 of 100, and is no guarantee for one board. "
            + "It tells nothing of what the model leaves out, of the watts and part networks that were given, or of the conductivities and films of the real board."),
    ]);

    private static IEnumerable<Fact> Facts(ReportSubject subject)
    {
        var (accuracy, field) = (subject.Solution.Accuracy, subject.Solution.Field);
        var (grid, heat) = (field.Grid, field.Heat);
        yield return new("Grid", $"{grid.Columns} × {grid.Rows} cells of {ReportText.Given(Math.Round(grid.PitchX * 1e3, 4))} × {ReportText.Given(Math.Round(grid.PitchY * 1e3, 4))} mm; pitch {ReportText.Millimetres(accuracy.PitchMeters)} mm {(accuracy.TargetErrorMet is null ? "asked for" : "chosen by the service")}");
        yield return new("Unknowns", accuracy.Unknowns.ToString(System.Globalization.CultureInfo.InvariantCulture));
        yield return new("Bound on the grid's error", $"± {ReportText.Error(accuracy.GridErrorKelvin)} K for the worst of peak, probes, and parts that make heat or have a limit");
        if (accuracy.TargetErrorMet is { } met) yield return new("Error asked for", met ? "kept" : "not kept within the cells allowed");
        yield return new("Residual of the solver", $"{ReportText.Significant(accuracy.RelativeResidual, 2)} of the heat, after {ResultSection.Count(accuracy.Iterations, "iteration", "iterations")}");
        if (field.Solve.FilmResiduals.Count > 0) yield return new("Heat the films missed at the end", $"{ReportText.Significant(field.Solve.FilmResiduals[^1], 2)} of the heat, after {ResultSection.Count(field.Solve.FilmResiduals.Count, "pass", "passes")}");
        string share = heat.DissipatedWatts > 0 ? $", {ReportText.Significant(Math.Abs(heat.ImbalanceWatts) / heat.DissipatedWatts, 2)} of the heat" : "";
        yield return new("Heat balance", $"{ReportText.Significant(heat.ImbalanceWatts, 2)} W made less given off{share}");
    }
}
