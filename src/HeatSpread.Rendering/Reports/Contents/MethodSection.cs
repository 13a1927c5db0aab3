using HeatSpread.Boards;

namespace HeatSpread.Rendering.Reports;

/// <summary>How it was computed, and what was published by others that this solution rests on.</summary>
internal static class MethodSection
{
    public static ReportSection Of(ReportSubject subject) => new("Method and sources", [
        new Paragraph("Steady heat conduction in every row of the stack, in the plane and through it, on a grid of cells of equal size, by conservation of heat in each cell. Copper is taken from the layout as drawn: "
            + "a cell conducts by the exact width of unbroken copper at its sides, so that cuts and tracks narrower than a cell count. Plated holes conduct between rows. Parts are the thermal networks given with them, solved with the board. "
            + "Films and contacts act on the outer faces at their own temperature."),
        new Paragraph("Not in it: change in time; air heated by one part that reaches another; parts that stand in the stream; the conductance that drilled holes take from the plane; alternating current."),
        new SubHeading("Sources used in this solution"),
        new BulletList([.. Sources(subject)]),
        new Paragraph("Titles and pages of the sources are cited from memory.") { IsNote = true },
    ]);

    private static IEnumerable<string> Sources(ReportSubject subject)
    {
        var (conditions, board) = (subject.Conditions, subject.Board);
        Surface[] sides = [conditions.Top, conditions.Bottom];
        yield return "Conduction: Fourier's law, finite volumes; checked against closed forms in the project's VERIFICATION.md.";
        if (sides.Any(side => side is FilmSurface)) yield return "Films of the top or bottom as given with the conditions: the service has no source for them.";
        if (conditions.EdgesFilm > 0) yield return "Film of the edges as given with the conditions.";
        string[] correlations = [.. ConditionsSection.Sides(subject).Select(side => side.Reading.Correlation).Distinct()];
        bool Uses(string word) => correlations.Any(name => name.Contains(word, StringComparison.Ordinal));
        if (Uses("Churchill")) yield return "Still air at a vertical plate: S. W. Churchill and H. H. S. Chu, International Journal of Heat and Mass Transfer 18 (1975) 1323.";
        if (Uses("McAdams")) yield return "Still air at a level plate: W. H. McAdams, Heat Transmission, 3rd edition, 1954.";
        if (Uses("Lloyd")) yield return "Still air over a heated side up: J. R. Lloyd and W. R. Moran, Journal of Heat Transfer 96 (1974) 443.";
        if (Uses("Raithby")) yield return "Thick boundary layers at a level plate: G. D. Raithby and K. G. T. Hollands, Handbook of Heat Transfer Fundamentals, 1985, chapter 6.";
        if (Uses("Blasius") || Uses("flat plate")) yield return "Stream along a flat plate: H. Blasius, 1908; E. Pohlhausen, 1921; beyond Reynolds 5e5 F. P. Incropera and D. P. DeWitt, Fundamentals of Heat and Mass Transfer, section 7.2.";
        if (sides.Any(side => side is StillAirSurface or MovingAirSurface)) yield return "Properties of air: table of Incropera and DeWitt at the film temperature; density by pressure (standard atmosphere: ISO 2533).";
        if (sides.Any(side => side is StillAirSurface { Emissivity: > 0 } or MovingAirSurface { Emissivity: > 0 })) yield return "Radiation: law of Stefan and Boltzmann, grey surfaces to large surroundings.";
        if (conditions.Currents.Count > 0) yield return "Resistivity of annealed copper: IEC 60028.";
        if (conditions.Converter is { Efficiency: null }) yield return "Losses of the converter: R. W. Erickson and D. Maksimović, Fundamentals of Power Electronics.";
        if (conditions.Converter is { Efficiency: not null }) yield return "Losses of the converter: from the measured efficiency given with the conditions.";
        if (board.Parts.Any(part => part.Network is not null)) yield return "Thermal networks of parts: as given with the layout; the service has no source for them.";
        foreach (var material in subject.RowMaterials.OfType<string>().Distinct().Order(StringComparer.Ordinal).Select(Materials.Find).OfType<Material>())
            yield return $"Material {material.Name}: {ReportText.Given(material.Conductivity.InPlane)} W/(m·K) in the plane and {ReportText.Given(material.Conductivity.Through)} through, in practice {material.Range}. {material.Source}.";
    }
}
