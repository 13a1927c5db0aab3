using HeatSpread.Boards;

namespace HeatSpread.Import.Excellon;

/// <summary>
/// Reads a drill file that may leave its unit or its digits unsaid: of the usual conventions the first one is taken that puts the holes inside the
/// board, and the choice is reported.
/// </summary>
internal static class DrillFormatChooser
{
    private static readonly DrillNumberFormat[] Candidates =
    [
        DrillNumberFormat.Usual(isInch: false, leadingKept: false),
        DrillNumberFormat.Usual(isInch: true, leadingKept: false),
        DrillNumberFormat.Usual(isInch: false, leadingKept: true),
        DrillNumberFormat.Usual(isInch: true, leadingKept: true),
        new(false, false, 4, 2), new(false, true, 4, 2), new(false, false, 4, 4), new(false, true, 4, 4),
        new(true, false, 2, 5), new(true, true, 2, 5), new(true, false, 2, 3), new(true, true, 2, 3), new(true, false, 3, 3),
    ];

    /// <param name="text">Of the file.</param>
    /// <param name="extent">Where holes may be, mm: the board with a margin; null where nothing is known.</param>
    /// <param name="notes">Gains what was assumed.</param>
    /// <param name="limits">Of the reader.</param>
    /// <param name="cancellationToken">Checked between lines.</param>
    public static DrillFile Read(string text, Box? extent, FileNotes notes, ImportLimits limits, CancellationToken cancellationToken)
    {
        var first = ExcellonReader.Read(text, Candidates[0], notes, limits, cancellationToken);
        if (first.Unknowns == DrillUnknowns.None) return first;
        var (chosen, format) = (first, Candidates[0]);
        if (extent is { } box)
        {
            double best = ShareInside(first, box);
            foreach (var candidate in Candidates.Skip(1).TakeWhile(_ => best < 0.99))
            {
                var read = ExcellonReader.Read(text, candidate, new FileNotes(notes.File), limits, cancellationToken);
                double share = ShareInside(read, box);
                if (share > best + 0.01) (best, chosen, format) = (share, read, candidate);
            }
        }
        string unsaid = string.Join(" and ", new[]
        {
            first.Unknowns.HasFlag(DrillUnknowns.Unit) ? "the unit" : null,
            first.Unknowns.HasFlag(DrillUnknowns.Zeros) ? "which zeros are left out" : null,
            first.Unknowns.HasFlag(DrillUnknowns.Digits) ? "how many digits stand before and after the point" : null,
        }.OfType<string>());
        notes.Warn(0, $"does not say {unsaid}; {format} was taken{(extent is null ? "" : ", compared with the extent of the board")}");
        return chosen;
    }

    /// <summary>Holes crowded on a point would fit any board: the extent they cover counts a little too.</summary>
    private static double ShareInside(DrillFile file, Box box)
    {
        var places = file.Holes.Select(h => h.At).Concat(file.Slots.SelectMany(s => s.Path)).ToList();
        if (places.Count == 0) return 1;
        double inside = places.Count(box.Holds) / (double)places.Count;
        var covered = places.Aggregate(Box.Empty, (b, p) => b.Include(p));
        bool tiny = places.Count > 3 && Math.Max(covered.Width, covered.Height) < 0.15 * Math.Max(box.Width, box.Height);
        return tiny ? inside * 0.5 : inside;
    }
}
