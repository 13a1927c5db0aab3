using System.Globalization;
using System.Text;

namespace HeatSpread.Import.Gerber;

/// <summary>The attribute commands TF, TA, TO and TD of the Gerber Layer Format Specification (chapter 5), as they stand at one place of a file.</summary>
internal sealed class AttributeDictionary
{
    private readonly Dictionary<string, IReadOnlyList<string>> file = [];
    private readonly Dictionary<string, IReadOnlyList<string>> aperture = [];
    private readonly Dictionary<string, IReadOnlyList<string>> onObject = [];
    private readonly Dictionary<string, ObjectAttributes> made = [];

    public IReadOnlyDictionary<string, IReadOnlyList<string>> File => file;

    /// <summary>Of the aperture being defined, or of the region being painted.</summary>
    public string? ApertureFunction => aperture.TryGetValue(".AperFunction", out var fields) ? string.Join(',', fields) : null;

    /// <summary>Obeys a command such as <c>TO.N,GND</c>; false where it is none.</summary>
    public bool Obey(string command)
    {
        if (command.Length < 2 || command[0] != 'T') return false;
        string[] fields = command[2..].Split(',');
        string name = fields[0].Trim();
        var values = fields.Skip(1).Select(Unescape).ToList();
        switch (command[1])
        {
            case 'F': file[name] = values; break;
            case 'A': aperture[name] = values; break;
            case 'O': onObject[name] = values; made.Clear(); break;
            case 'D': Delete(name); break;
            default: return false;
        }
        return true;
    }

    /// <summary>Of an object painted now; the same instance as long as no attribute changes.</summary>
    public ObjectAttributes For(string? apertureFunction)
    {
        if (onObject.Count == 0 && apertureFunction is null) return ObjectAttributes.None;
        string key = apertureFunction ?? "";
        if (!made.TryGetValue(key, out var attributes)) made[key] = attributes = Make(apertureFunction);
        return attributes;
    }

    private ObjectAttributes Make(string? apertureFunction)
    {
        string? net = onObject.TryGetValue(".N", out var names) ? names.Count > 0 ? names[0] : "" : null;
        string? part = onObject.TryGetValue(".C", out var parts) && parts.Count > 0 ? parts[0] : null;
        List<PinReference> pins = [];
        if (onObject.TryGetValue(".P", out var pin) && pin.Count >= 2) pins.Add(new PinReference(pin[0], pin[1], pin.Count > 2 ? pin[2] : null));
        var characteristics = onObject.Where(a => a.Key.StartsWith(".C", StringComparison.Ordinal) && a.Key.Length > 2 && a.Value.Count > 0).ToDictionary(a => a.Key, a => a.Value[0], StringComparer.Ordinal);
        return new ObjectAttributes(net, pins, part, apertureFunction) { Characteristics = characteristics.Count > 0 ? characteristics : null };
    }

    private void Delete(string name)
    {
        if (name.Length == 0)
        {
            aperture.Clear();
            onObject.Clear();
        }
        else
        {
            aperture.Remove(name);
            onObject.Remove(name);
        }
        made.Clear();
    }

    /// <summary>Turns <c>\u002C</c> into the character it stands for.</summary>
    private static string Unescape(string field)
    {
        if (!field.Contains('\\', StringComparison.Ordinal)) return field.Trim();
        var builder = new StringBuilder();
        for (int i = 0; i < field.Length; i++)
        {
            if (field[i] == '\\' && i + 5 < field.Length && field[i + 1] == 'u'
                && ushort.TryParse(field.AsSpan(i + 2, 4), NumberStyles.AllowHexSpecifier, CultureInfo.InvariantCulture, out ushort code))
            {
                builder.Append((char)code);
                i += 5;
            }
            else builder.Append(field[i]);
        }
        return builder.ToString().Trim();
    }
}
