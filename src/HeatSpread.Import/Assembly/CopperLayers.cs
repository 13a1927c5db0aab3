using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Files;
using HeatSpread.Import.Gerber;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Assembly;

/// <summary>Gives each copper file its row of the stack.</summary>
internal static class CopperLayers
{
    /// <summary>Files in the order of the copper rows; null where they do not fit (the faults say why).</summary>
    /// <param name="files">Copper files with what was read from them.</param>
    /// <param name="names">Of the copper rows, top to bottom.</param>
    /// <param name="hasStack">The description gives the stack.</param>
    /// <param name="description">Whose file roles are named in faults.</param>
    /// <param name="notes">Gains faults, and a warning for each layer that was guessed.</param>
    public static IReadOnlyList<(RecognizedFile File, GerberImage Image)>? Order(
        IReadOnlyList<(RecognizedFile File, GerberImage Image)> files, IReadOnlyList<string> names, bool hasStack, FabricationDescription description, ImportNotes notes)
    {
        if (files.Count == 0 || files.Count != names.Count)
        {
            string found = files.Count == 0 ? "none was found" : $"{files.Count} were found ({string.Join(", ", files.Select(f => f.File.Name))})";
            notes.Fault(hasStack ? "/stack" : "/files", names.Count == 0 || !hasStack
                ? $"there must be a copper file at least; {found}"
                : $"there must be one copper file for each of the {names.Count} copper rows ({string.Join(", ", names)}); {found}. The description's 'files' may say which file is which layer");
            return null;
        }
        var rows = new (RecognizedFile File, GerberImage Image)?[names.Count];
        bool sound = PlaceNamed(files, names, rows, description, notes);
        var rest = files.Where(f => f.File.LayerName is null).OrderBy(Position).ToList();
        sound &= ReportSamePlace(rest, notes);
        if (!sound) return null;
        int row = 0;
        foreach (var file in rest)
        {
            while (rows[row] is not null) row++;
            rows[row] = file;
            if (file.File.IsGuess) notes.Warn($"{file.File.Name}: taken as copper layer {row + 1} ({names[row]}), {(file.Image.PhysicalOrder is null ? "by its name" : "by the layer order in its comments")}");
        }
        return [.. rows.Select(r => r!.Value)];
    }

    /// <summary>What a layer paints, without what paints nothing; a negative image becomes the board's area with its objects taken away.</summary>
    public static PaintedLayer Paint(string name, RecognizedFile file, GerberImage image, Region outline, ImportNotes notes)
    {
        var painted = image.Objects.Where(o => o.Shape is StrokeShape { Width: > 0 } or AreaShape { Polygons.Count: > 0 });
        if (image.IsNegative)
        {
            notes.Warn($"{file.Name}: is a negative image; the whole board is copper where it draws nothing");
            var background = outline.Polygons.Select(p => new GraphicObject(ObjectKind.Region, new AreaShape([p]), true, ObjectAttributes.None));
            painted = background.Concat(painted.Select(o => o with { IsDark = !o.IsDark }));
        }
        return new PaintedLayer(name, file.Name, [.. painted]);
    }

    private static double Position((RecognizedFile File, GerberImage Image) file) =>
        file.File.IsGuess && file.Image.PhysicalOrder is { } order ? order : file.File.Order;

    private static bool PlaceNamed(IReadOnlyList<(RecognizedFile File, GerberImage Image)> files, IReadOnlyList<string> names, (RecognizedFile File, GerberImage Image)?[] rows, FabricationDescription description, ImportNotes notes)
    {
        bool sound = true;
        foreach (var file in files.Where(f => f.File.LayerName is not null))
        {
            int row = names.ToList().IndexOf(file.File.LayerName!);
            if (row >= 0 && rows[row] is null)
            {
                rows[row] = file;
                continue;
            }
            sound = false;
            int role = description.Files.ToList().FindIndex(f => string.Equals(f.File, file.File.Name, StringComparison.OrdinalIgnoreCase));
            string pointer = string.Create(CultureInfo.InvariantCulture, $"/files/{role}/layer");
            notes.Fault(pointer, row < 0 ? $"must be the name of a copper row ({string.Join(", ", names)}), and '{file.File.LayerName}' was found" : $"each layer must come from one file, and '{file.File.LayerName}' has another already");
        }
        return sound;
    }

    private static bool ReportSamePlace(List<(RecognizedFile File, GerberImage Image)> sorted, ImportNotes notes)
    {
        bool sound = true;
        for (int i = 1; i < sorted.Count; i++)
        {
            if (Position(sorted[i]) != Position(sorted[i - 1])) continue;
            sound = false;
            notes.FileFault(sorted[i].File.Name, $"must be another copper layer than '{sorted[i - 1].File.Name}', and both seem to be the same; the description's 'files' may say which is which");
        }
        return sound;
    }
}
