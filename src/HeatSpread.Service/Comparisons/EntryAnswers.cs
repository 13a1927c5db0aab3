using HeatSpread.Boards;
using HeatSpread.Insight.Comparison;
using HeatSpread.Service.Layouts;

namespace HeatSpread.Service.Comparisons;

/// <summary>From a ledger to what is sent: places in the baseline's unit.</summary>
internal static class EntryAnswers
{
    private const double Mm2PerSquareMeter = 1e6;

    public static LedgerAnswer Ledger(PartLedger ledger, LayoutInUse layout) => new(ledger.Part, ledger.DeltaKelvin, [.. ledger.Entries.Select(entry => Entry(entry, layout))]);

    private static EntryAnswer Entry(LedgerEntry entry, LayoutInUse layout)
    {
        PieceAnswer[] pieces = [.. entry.Pieces.Select(piece => new PieceAnswer(piece.Layer, piece.SquareMeters * Mm2PerSquareMeter, piece.Kelvin, Area(piece.Area, layout)))];
        return new(
            entry.Kind is { } kind ? char.ToLowerInvariant(kind.ToString()[0]) + kind.ToString()[1..] : "smallChanges",
            entry.Kelvin,
            entry.Text,
            entry.Layer,
            entry.Net,
            entry.Part,
            entry.Surface,
            pieces.Length > 0 ? pieces[0].Area : null,
            pieces.Length > 1 ? pieces : null,
            entry.At.Count > 0 ? [.. entry.At.Select(layout.InUnit)] : null,
            entry.Count);
    }

    private static AreaAnswer Area(Region area, LayoutInUse layout)
    {
        IReadOnlyList<double[]> Ring(IReadOnlyList<Point> ring) => [.. ring.Append(ring[0]).Select(layout.InUnit)];
        return new("MultiPolygon", [.. area.Polygons.Select(polygon => (IReadOnlyList<IReadOnlyList<double[]>>)[.. polygon.Rings.Select(Ring)])]);
    }
}
