using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Excellon;
using HeatSpread.Import.Files;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>The holes of the board from its drill files, and the vias that stand for them.</summary>
internal static class BoardDrilling
{
    private const double UsualPlatingUm = 25;

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
            .. drill.Slots.Select(s => new BoardHole(s.Path, s.Diameter, Plated(s.IsPlated), from, to))];
        if (guessed) fileNotes.Warn(0, "does not say whether its holes are plated; they were taken as plated");
        else if (holes.Count > 0 && file.Drill?.Plated is null && ByFunction(file.Function) is null && ByName(file.Name) is { } named && drill.Holes.Any(h => h.IsPlated is null))
        {
            fileNotes.Warn(0, $"holes taken as {(named ? "plated" : "unplated")}, by its name");
        }
        fileNotes.WriteTo(notes);
        return holes;
    }

    /// <summary>Vias for holes, those of one kind and net together. A slot becomes a row of holes of the same plating area; an unplated slot is left out.</summary>
    public static IReadOnlyList<ViaDocument> Vias(IReadOnlyList<BoardHole> holes, Func<int, string?> netOfHole, IReadOnlyList<string> layers, ImportNotes notes)
    {
        var groups = new Dictionary<(string? Net, double Drill, int From, int To, double PlatingUm), List<Point>>();
        int platedSlots = 0, openSlots = 0;
        for (int i = 0; i < holes.Count; i++)
        {
            var hole = holes[i];
            var (at, plating) = hole.IsSlot ? SlotRow(hole) : (hole.Path, Math.Min(UsualPlatingUm, hole.Diameter * 500));
            if (hole.IsSlot && hole.IsPlated) platedSlots++;
            else if (hole.IsSlot)
            {
                openSlots++;
                continue;
            }
            var key = (hole.IsPlated ? netOfHole(i) : null, hole.Diameter, hole.From, hole.To, hole.IsPlated ? plating : 0);
            if (!groups.TryGetValue(key, out var places)) groups[key] = places = [];
            places.AddRange(at);
        }
        if (platedSlots > 0) notes.Warn($"{platedSlots} plated slots: each is a row of round holes of the slot's width, along its centre line, with together the slot's plating cross-section; they are not counted as holes");
        if (openSlots > 0) notes.Warn($"{openSlots} unplated slots were left out: they conduct nothing, and the copper and laminate that they cut away are kept");
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

    /// <summary>Round holes by diameter and plating, slots left out.</summary>
    public static IReadOnlyList<HoleCount> Count(IReadOnlyList<BoardHole> holes) =>
        [.. holes.Where(h => !h.IsSlot).GroupBy(h => (h.Diameter, h.IsPlated)).OrderBy(g => g.Key.Diameter).ThenByDescending(g => g.Key.IsPlated)
            .Select(g => new HoleCount(g.Key.Diameter, g.Count(), g.Key.IsPlated))];

    /// <summary>
    /// A slot of width w and centre line L with plating t has the cross-section 2Lt + π(wt − t²). A row of n holes of drill w has as much with a
    /// plating t' near t when n is near 1 + 2L/(πw); holes of such a row do not overlap.
    /// </summary>
    private static (IReadOnlyList<Point> At, double PlatingUm) SlotRow(BoardHole slot)
    {
        double width = slot.Diameter, length = slot.Path.Zip(slot.Path.Skip(1), Arcs.Distance).Sum(), t = Math.Min(UsualPlatingUm / 1000, width / 2);
        int count = (int)Math.Clamp(Math.Round(1 + 2 * length / (Math.PI * width)), 2, 10_000);
        double area = 2 * length * t + Math.PI * (width * t - t * t);
        double root = Math.Max(0, width * width - 4 * area / (count * Math.PI));
        var places = Enumerable.Range(0, count).Select(i => Along(slot.Path, length * i / (count - 1)));
        return ([.. places], Math.Round((width - Math.Sqrt(root)) / 2 * 1000, 3));
    }

    private static Point Along(IReadOnlyList<Point> path, double distance)
    {
        for (int i = 1; i < path.Count; i++)
        {
            double piece = Arcs.Distance(path[i - 1], path[i]);
            if (distance <= piece && piece > 0)
            {
                double share = distance / piece;
                return new Point(Lengths.Round(path[i - 1].X + share * (path[i].X - path[i - 1].X)), Lengths.Round(path[i - 1].Y + share * (path[i].Y - path[i - 1].Y)));
            }
            distance -= piece;
        }
        return path[^1];
    }

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
}
