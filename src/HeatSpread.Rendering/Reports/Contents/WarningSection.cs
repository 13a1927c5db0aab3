namespace HeatSpread.Rendering.Reports;

/// <summary>What a reader must not overlook about this solution.</summary>
internal static class WarningSection
{
    /// <summary>Told of an import; a damaged file can give thousands.</summary>
    private const int MostOfImport = 60;

    public static ReportSection Of(ReportSubject subject)
    {
        string[] warnings = [.. Warnings(subject)];
        return new("Warnings", [warnings.Length == 0 ? new Paragraph("None.") : new BulletList(warnings), .. OfImport(subject.ImportWarnings)]);
    }

    private static IEnumerable<ReportBlock> OfImport(IReadOnlyList<string> told)
    {
        if (told.Count == 0) yield break;
        yield return new SubHeading("Of the fabrication files");
        yield return new Paragraph("The board was read from fabrication files. What they do not say was guessed, and what was not understood was skipped or repaired:") { KeepsWithNext = true };
        yield return new BulletList([.. told.Take(MostOfImport)]);
        if (told.Count > MostOfImport) yield return new Paragraph($"{told.Count - MostOfImport} more stand in the answer to the layout's posting.") { IsNote = true };
    }

    public static IEnumerable<string> Warnings(ReportSubject subject)
    {
        foreach (string undecided in ResultSection.Undecided(subject)) yield return undecided;
        foreach (string warning in subject.Solution.Warnings) yield return warning;
        if (subject.Solution.Accuracy.TargetErrorMet == false) yield return "The grid's error is above the one asked for: a finer grid would have passed the number of cells that is allowed.";
        if (subject.Comparison is { } comparison && comparison.Comparison.Parts.Any(part => part.DeltaKelvin is null)) yield return "Parts that only one of the two boards has are in the comparison without a change.";
        string[] silent = [.. subject.Solution.Parts.Where(part => part.Watts > 0 && part.LimitCelsius is null).Select(part => part.Id)];
        if (silent.Length > 0) yield return $"{ResultSection.Count(silent.Length, "part makes", "parts make")} heat and {(silent.Length == 1 ? "has" : "have")} no limit: {string.Join(", ", silent.Take(12))}{(silent.Length > 12 ? " and others" : "")}.";
    }
}
