using System.Globalization;
using System.Text.RegularExpressions;
using HeatSpread.Boards;
using HeatSpread.Import.Excellon;
using HeatSpread.Import.Files;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Parts;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>The holes of the board from its drill files, and the vias that stand for them.</summary>
internal static partial class BoardDrilling
{
    private const double UsualPlatingUm = 25;

    /// <summary>Of more routes none is held against the rim: it takes a millisecond each, and a profile is milled in few.</summary>
    private const int MostMillingRoutes = 2000;

    /// <summary>Holes of one drill file.</summary>
    /// <param name="file">Drill data, or a Gerber file with a drill function.</param>
    /// <param name="layers">Names of the copper layers, top to bottom.</param>
    /// <param name="extent">Where holes may be, mm; null where nothing is known.</param>
    /// <param name="description">Whose role of the file is named in faults.</param>
    /// <param name="limits">Of the readers.</param>
    /// <param name="notes">Gains faults and warnings.</param>
    /// <param name="cancellationToken">Checked between lines.</param>
    /// <exception cref="UnreadableFileException">The file cannot be read.</exception>
    public static IReadOnlyList<BoardHole> Read(RecognizedFile file, IReadOnlyList<string> layers, Box? extent, FabricationDescription description, ImportLimits limits, ImportNotes notes, CancellationToken cancellationToken)
    {
        var fileNotes = new FileNotes(file.Name);
        var drill = file.Syntax == FileSyntax.Drill
            ? DrillFormatChooser.Read(file.Text, extent, fileNotes, limits, cancellationToken)
            : FromGerber(GerberReader.Read(file.Text, fileNotes, limits, cancellationToken), fileNotes);
        var (from, to) = Span(file, layers, description, notes);
        bool? ofFile = file.Drill?.Plated ?? ByFunction(file.Function) ?? ByName(file.Name);
        bool guessed = false;
        bool Plated(bool? ofTool)
        {
            bool? known = file.Drill?.Plated ?? ofTool ?? ofFile;
            guessed |= known is null;
            return known ?? true;
        }
        List<BoardHole> holes = [.. drill.Holes.Select(h => new BoardHole([h.At], h.Diameter, Plated(h.IsPlated), from, to)),
            .. drill.Slots.Select(s => Slot(s, Plated(s.IsPlated), from, to)).OfType<BoardHole>()];
        if (guessed) fileNotes.Warn(0, "does not say whether its holes are plated; they were taken as plated");
        else if (holes.Count > 0 && file.Drill?.Plated is null && ByFunction(file.Function) is null && ByName(file.Name) is { } named && drill.Holes.Any(h => h.IsPlated is null))
        {
            fileNotes.Warn(0, $"holes taken as {(named ? "plated" : "unplated")}, by its name");
        }
        fileNotes.WriteTo(notes);
        return holes;
    }

    /// <summary>Vias for holes, those of one kind and net together. A plated slot becomes barrels along its wall; an unplated slot has none.</summary>
    /// <param name="data">The board.</param>
    /// <param name="netOfHole">By index of the hole.</param>
    /// <param name="notes">Gains what a via cannot say.</param>
    public static IReadOnlyList<ViaDocument> Vias(FabricationData data, Func<int, string?> netOfHole, ImportNotes notes)
    {
        var (holes, layers, board) = (data.Holes, data.Names, new BoardArea(data.Outline));
        int offBoard = 0;
        var groups = new Dictionary<(string? Net, double Drill, int From, int To, double PlatingUm), List<Point>>();
        int platedSlots = 0, onOneLayer = 0;
        for (int i = 0; i < holes.Count; i++)
        {
            var hole = holes[i];
            if (hole is { IsSlot: true, IsPlated: false }) continue;
            if (hole.From == hole.To && layers.Count > 1)
            {
                onOneLayer++;
                continue;
            }
            if (hole.IsSlot) platedSlots++;
            var (at, drill, plating) = hole.IsSlot ? SlotWalls.Barrels(hole, UsualPlatingUm) : (hole.Path, hole.Diameter, Math.Min(UsualPlatingUm, hole.Diameter * 500));
            List<Point> inside = [.. at.Where(p => board.Holds(p, 5e-4))];
            if (inside.Count < at.Count) offBoard++;
            if (inside.Count == 0) continue;
            var key = (hole.IsPlated ? netOfHole(i) : null, drill, hole.From, hole.To, hole.IsPlated ? plating : 0);
            if (!groups.TryGetValue(key, out var places)) groups[key] = places = [];
            places.AddRange(inside);
        }
        if (offBoard > 0) notes.Warn($"{offBoard} holes or slots have their centre beside the board or in one of its openings; what of them lies there conducts nothing");
        if (onOneLayer > 0) notes.Warn($"{onOneLayer} holes begin and end on one copper layer, so they join nothing; they were left out");
        if (platedSlots > 0) notes.Warn($"{platedSlots} plated slots: the wall of each is a row of barrels of 0.1 mm along it, with together the cross-section of its plating (25 µm); they are not counted as holes");
        return [.. groups.Select(g => new ViaDocument
        {
            Net = g.Key.Net,
            From = layers[g.Key.From],
            To = layers[g.Key.To],
            Drill = g.Key.Drill,
            PlatingUm = g.Key.PlatingUm,
            At = g.Value,
        })];
    }

    /// <summary>The board with its unplated slots cut out: neither copper nor laminate conducts there.</summary>
    /// <param name="outline">mm.</param>
    /// <param name="holes">All; round ones stay as they are.</param>
    /// <param name="notes">Gains what was cut.</param>
    public static Region CutSlots(Region outline, IReadOnlyList<BoardHole> holes, ImportNotes notes)
    {
        var routes = holes.Where(h => h is { IsSlot: true, IsPlated: false } && h.From == 0).ToList();
        if (routes.Count == 0) return outline;
        double before = outline.Polygons.Sum(p => p.Area);
        var rim = new BoardRim(Overlay.Factory.BuildGeometry([.. outline.Polygons.Select(p => Overlay.ToNts(p).Boundary)]));
        bool isMilledByFew = routes.Count <= MostMillingRoutes;
        int milling = routes.RemoveAll(r => r.Outline!.Area > 0.5 * before || isMilledByFew && rim.IsFollowedBy(r));
        if (milling > 0) notes.Warn($"{milling} routes run along the outline or around more than half of the board: they mill the profile and cut nothing else");
        var left = Overlay.Difference(outline.Polygons, [.. routes.Select(r => r.Outline!)]);
        double cut = before - left.Sum(p => p.Area);
        if (left.Count == 0 || cut > 0.5 * before)
        {
            notes.Warn($"{routes.Count} unplated slots or routes would cut away more than half of the board; they were left out");
            return outline;
        }
        if (cut > 1e-6) notes.Warn(string.Create(CultureInfo.InvariantCulture, $"{routes.Count} unplated slots or routes are openings of the board; they cut {cut:0.###} mm² from the outline"));
        return new Region(left);
    }

    /// <summary>Takes out the holes that lie outside the profile; a panel's tooling holes, above all.</summary>
    public static void LeaveOutWhatIsOffTheBoard(List<BoardHole> holes, Region outline, ImportNotes notes)
    {
        int all = holes.Count;
        var board = new BoardArea(outline);
        holes.RemoveAll(h => !h.Path.Any(p => board.Holds(p, h.Diameter / 2)) && !(h.Outline?.Outer.Any(board.Holds) ?? false));
        if (holes.Count < all) notes.Warn($"{all - holes.Count} holes or slots off the board (outside the outline) were left out");
    }

    /// <summary>Round holes by diameter and plating, slots left out.</summary>
    public static IReadOnlyList<HoleCount> Count(IReadOnlyList<BoardHole> holes) =>
        [.. holes.Where(h => !h.IsSlot).GroupBy(h => (h.Diameter, h.IsPlated)).OrderBy(g => g.Key.Diameter).ThenByDescending(g => g.Key.IsPlated)
            .Select(g => new HoleCount(g.Key.Diameter, g.Count(), g.Key.IsPlated))];

    private static BoardHole? Slot(RoutedSlot slot, bool isPlated, int from, int to) =>
        SlotWalls.Outline(slot.Path, slot.Diameter) is { } outline ? new BoardHole(slot.Path, slot.Diameter, isPlated, from, to) { Outline = outline } : null;

    private static DrillFile FromGerber(GerberImage image, FileNotes notes)
    {
        var holes = new List<DrilledHole>();
        var slots = new List<RoutedSlot>();
        foreach (var item in image.Objects.Where(o => o.IsDark))
        {
            bool? plated = item.Attributes.Function is { } f ? f.StartsWith("Plated", StringComparison.Ordinal) ? true : f.StartsWith("NonPlated", StringComparison.Ordinal) ? false : null : null;
            if (item.Shape is StrokeShape { Width: > 0, Path.Count: 1 } disc) holes.Add(new DrilledHole(disc.Path[0], disc.Width, plated));
            else if (item.Shape is StrokeShape { Width: > 0 } stroke) slots.Add(new RoutedSlot(stroke.Path, stroke.Width, plated));
            else notes.Warn(0, "has holes that are neither round nor lines with round ends; they were left out");
        }
        return new DrillFile { Holes = holes, Slots = slots, FileAttributes = image.FileAttributes };
    }

    private static (int From, int To) Span(RecognizedFile file, IReadOnlyList<string> layers, FabricationDescription description, ImportNotes notes)
    {
        var (from, to) = (0, layers.Count - 1);
        if (file.Drill is { From: not null } or { To: not null }) return NamedSpan(file, layers, description, notes);
        if (file.Function.Count == 0 && SpanName().Match(file.Name) is { Success: true } named)
        {
            int upper = int.Parse(named.Groups[1].ValueSpan, NumberStyles.None, CultureInfo.InvariantCulture), lower = int.Parse(named.Groups[2].ValueSpan, NumberStyles.None, CultureInfo.InvariantCulture);
            if (upper >= 1 && upper < lower && lower <= layers.Count && lower - upper < layers.Count - 1)
            {
                notes.Warn($"{file.Name}: taken as joining {layers[upper - 1]} to {layers[lower - 1]} alone, by its name; the description's 'files' may say otherwise");
                return (upper - 1, lower - 1);
            }
        }
        if (file.Function.Count < 3 || !int.TryParse(file.Function[1], NumberStyles.None, CultureInfo.InvariantCulture, out int first) || !int.TryParse(file.Function[2], NumberStyles.None, CultureInfo.InvariantCulture, out int last)) return (from, to);
        if (first >= 1 && last >= first && last <= layers.Count) return (first - 1, last - 1);
        notes.Warn($"{file.Name}: says that its holes join layers {first} to {last}, and there are {layers.Count}; they were taken through the whole board");
        return (from, to);
    }

    private static (int From, int To) NamedSpan(RecognizedFile file, IReadOnlyList<string> layers, FabricationDescription description, ImportNotes notes)
    {
        int role = description.Files.ToList().FindIndex(f => string.Equals(f.File, file.Name, StringComparison.OrdinalIgnoreCase));
        int Find(string? name, int otherwise, string key)
        {
            if (name is null) return otherwise;
            int index = layers.ToList().IndexOf(name);
            if (index < 0) notes.Fault(string.Create(CultureInfo.InvariantCulture, $"/files/{role}/drill/{key}"), $"must be the name of a copper row ({string.Join(", ", layers)}), and '{name}' was found");
            return index < 0 ? otherwise : index;
        }
        var (from, to) = (Find(file.Drill!.From, 0, "from"), Find(file.Drill.To, layers.Count - 1, "to"));
        if (from <= to) return (from, to);
        notes.Fault(string.Create(CultureInfo.InvariantCulture, $"/files/{role}/drill"), $"'from' must not lie below 'to', and {layers[from]} to {layers[to]} was found");
        return (to, from);
    }

    private static bool? ByFunction(IReadOnlyList<string> function) => function.Count == 0 ? null : function[0] switch { "Plated" => true, "NonPlated" => false, _ => null };

    private static bool? ByName(string file)
    {
        string name = file.ToLowerInvariant();
        if (name.Contains("npth", StringComparison.Ordinal) || name.Contains("nonplated", StringComparison.Ordinal) || name.Contains("non-plated", StringComparison.Ordinal) || name.Contains("non_plated", StringComparison.Ordinal) || name.Contains("unplated", StringComparison.Ordinal)) return false;
        return name.Contains("pth", StringComparison.Ordinal) || name.Contains("plated", StringComparison.Ordinal) ? true : null;
    }

    [GeneratedRegex(@"(?:^|[^A-Za-z0-9])[Ll](\d{1,2})[-_](?:to[-_])?[Ll](\d{1,2})(?:[^0-9]|$)", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex SpanName();
}
