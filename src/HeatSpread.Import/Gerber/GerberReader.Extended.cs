using System.Globalization;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Gerber;

/// <summary>The commands between percent signs.</summary>
internal sealed partial class GerberReader
{
    private readonly Stack<(int Number, string? Function)> openBlocks = [];
    private readonly Dictionary<string, string> imageCommands = [];
    private (int CountX, int CountY, double StepX, double StepY)? repeat;
    private bool isImageNegative;
    private (bool X, bool Y) mirror;
    private double turnDegrees;
    private double scale = 1;

    private void ObeyExtended()
    {
        string text = command.Text;
        if (text.Length == 0) return;
        string code = text.Length >= 2 ? text[..2] : text, rest = text.Length > 2 ? text[2..].Trim() : "";
        switch (code)
        {
            case "FS": format = CoordinateFormat.Parse(rest) ?? throw Unreadable($"FS must be a coordinate format like 'LAX46Y46', and '{Short(rest)}' was found"); break;
            case "MO": SetUnit(rest); break;
            case "AD": DefineAperture(rest); break;
            case "AM": macros[rest] = new ApertureMacro(rest, command.Blocks, command.Line); break;
            case "AB": Block(rest); break;
            case "SR": StepAndRepeat(rest); break;
            case "LP": isDark = rest switch { "D" => true, "C" => false, _ => throw Unreadable($"LP must be D or C, and '{Short(rest)}' was found") }; break;
            case "LM" or "LR" or "LS": LoadTransform(code, rest); break;
            case "TF" or "TA" or "TO" or "TD": attributes.Obey(text); break;
            case "IP": isImageNegative = rest == "NEG"; break;
            case "OF" or "SF" or "MI" or "AS" or "IR": imageCommands[code] = rest; break;
            case "IN" or "LN": break; // names without effect
            default:
                if (code[0] is 'G' or 'D' or 'X' or 'Y' or 'M') ObeyWords(text);
                else Warn($"has the command '{Short(text)}', which is unknown and was passed over");
                break;
        }
    }

    private void SetUnit(string rest) => unit = rest switch
    {
        "MM" => 1,
        "IN" => Lengths.MillimetersPerInch,
        _ => throw Unreadable($"MO must be MM or IN, and '{Short(rest)}' was found"),
    };

    private void DefineAperture(string rest)
    {
        int digits = 1;
        while (digits < rest.Length && char.IsAsciiDigit(rest[digits])) digits++;
        if (rest.Length < 2 || rest[0] != 'D' || !int.TryParse(rest.AsSpan(1, digits - 1), NumberStyles.None, CultureInfo.InvariantCulture, out int number) || number < 10)
        {
            throw Unreadable($"AD must define an aperture from D10 on, and '{Short(rest)}' was found");
        }
        int comma = rest.IndexOf(',', digits);
        string template = rest[digits..(comma < 0 ? rest.Length : comma)].Trim();
        var parameters = comma < 0 ? [] : Parameters(rest[(comma + 1)..]);
        apertures[number] = new Aperture(BuildShape(template, parameters), null, attributes.ApertureFunction);
    }

    private Shape BuildShape(string template, IReadOnlyList<double> parameters)
    {
        if (macros.TryGetValue(template, out var macro)) return macro.Build(parameters, Unit, limits);
        return Aperture.Standard(template, parameters, Unit, Unreadable) ?? throw Unreadable($"aperture template '{Short(template)}' must be C, R, O, P or a macro that was defined before");
    }

    private List<double> Parameters(string text)
    {
        var values = new List<double>();
        foreach (string field in text.Split('X', StringSplitOptions.TrimEntries))
        {
            if (field.Length == 0) continue;
            if (!double.TryParse(field, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) || Math.Abs(value) > 1e5) throw Unreadable($"an aperture's parameter must be a number, and '{Short(field)}' was found");
            values.Add(value);
        }
        return values;
    }

    /// <summary>Opens or closes a block aperture; they may be nested.</summary>
    private void Block(string rest)
    {
        if (rest.Length == 0)
        {
            if (openBlocks.Count == 0) throw Unreadable("AB closes a block aperture, but none is open");
            var (closed, function) = openBlocks.Pop();
            apertures[closed] = new Aperture(null, sink.EndBlock(), function);
            return;
        }
        if (rest[0] != 'D' || !int.TryParse(rest.AsSpan(1), NumberStyles.None, CultureInfo.InvariantCulture, out int number) || number < 10) throw Unreadable($"AB must open an aperture from D10 on, and '{Short(rest)}' was found");
        sink.BeginBlock();
        openBlocks.Push((number, attributes.ApertureFunction));
    }

    private void StepAndRepeat(string rest)
    {
        if (repeat is { } open)
        {
            repeat = null;
            Repeat(open, sink.EndBlock());
        }
        var fields = Fields(rest);
        int countX = Count(fields, 'X'), countY = Count(fields, 'Y');
        if (countX == 1 && countY == 1) return;
        sink.BeginBlock();
        repeat = (countX, countY, fields.GetValueOrDefault('I') * Unit, fields.GetValueOrDefault('J') * Unit);
    }

    private int Count(Dictionary<char, double> fields, char letter)
    {
        double count = fields.GetValueOrDefault(letter, 1);
        return count >= 1 && count <= limits.MaxObjects && count == Math.Floor(count) ? (int)count : throw Unreadable($"a repeat count must be 1 to {limits.MaxObjects}, and {count} was found");
    }

    private void Repeat((int CountX, int CountY, double StepX, double StepY) grid, IReadOnlyList<GraphicObject> block)
    {
        if ((long)grid.CountX * grid.CountY > limits.MaxObjects) throw Unreadable($"a block may be repeated {limits.MaxObjects} times at most, and {grid.CountX} by {grid.CountY} repeats were asked for");
        for (int ix = 0; ix < grid.CountX; ix++)
        {
            for (int iy = 0; iy < grid.CountY; iy++) sink.AddCopy(block, PlaneTransform.Shift(ix * grid.StepX, iy * grid.StepY), toggle: false);
        }
    }

    private void LoadTransform(string code, string rest)
    {
        if (code == "LM") mirror = (rest.Contains('X', StringComparison.Ordinal), rest.Contains('Y', StringComparison.Ordinal));
        else if (!double.TryParse(rest, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) || Math.Abs(value) > 1e5) throw Unreadable($"{code} must have a number, and '{Short(rest)}' was found");
        else if (code == "LR") turnDegrees = value;
        else scale = value is > 0 and <= 1000 ? value : throw Unreadable($"LS must be above 0 and at most 1000, and {value} was found");
        apertureTransform = PlaneTransform.Of(mirror.X, mirror.Y, turnDegrees, scale);
    }

    /// <summary>Splits text like <c>X3Y2I5.0J4.0</c>.</summary>
    private Dictionary<char, double> Fields(string text)
    {
        var fields = new Dictionary<char, double>();
        for (int at = 0; at < text.Length;)
        {
            char letter = text[at++];
            int start = at;
            while (at < text.Length && !char.IsAsciiLetter(text[at])) at++;
            if (!double.TryParse(text.AsSpan(start, at - start), NumberStyles.Float, CultureInfo.InvariantCulture, out double value) || Math.Abs(value) > 1e6) throw Unreadable($"'{Short(text)}' must be letters each followed by a number");
            fields[letter] = value;
        }
        return fields;
    }

    /// <summary>
    /// The deprecated commands about the whole image (AS, MI, SF, OF, IR) as one transform; null where they say nothing. Their order is that of the
    /// specification's section on deprecated commands: mirror and scale, then turn, then offset.
    /// </summary>
    private PlaneTransform? ImageTransform()
    {
        var mirrored = Fields(imageCommands.GetValueOrDefault("MI", ""));
        var scaled = Fields(imageCommands.GetValueOrDefault("SF", ""));
        var offset = Fields(imageCommands.GetValueOrDefault("OF", ""));
        double.TryParse(imageCommands.GetValueOrDefault("IR", "0"), NumberStyles.Float, CultureInfo.InvariantCulture, out double turn);
        bool swap = imageCommands.GetValueOrDefault("AS", "AXBY") == "AYBX";
        double a = scaled.GetValueOrDefault('A', 1) * (mirrored.GetValueOrDefault('A') == 1 ? -1 : 1);
        double b = scaled.GetValueOrDefault('B', 1) * (mirrored.GetValueOrDefault('B') == 1 ? -1 : 1);
        double dx = offset.GetValueOrDefault('A') * (unit ?? 1), dy = offset.GetValueOrDefault('B') * (unit ?? 1);
        if (a == 1 && b == 1 && turn % 360 == 0 && !swap && dx == 0 && dy == 0) return null;
        notes.Warn(0, $"changes the whole image by deprecated commands ({string.Join(", ", imageCommands.Select(c => c.Key + c.Value))}); they were applied");
        if (Math.Abs(a) != Math.Abs(b)) notes.Warn(0, "scales x and y differently; the width of lines was scaled by the mean of the two");
        var rotation = PlaneTransform.Of(false, false, turn, 1);
        double xx = rotation.Xx * a, xy = rotation.Xy * b, yx = rotation.Yx * a, yy = rotation.Yy * b;
        return swap ? new PlaneTransform(xy, xx, yy, yx, dx, dy) : new PlaneTransform(xx, xy, yx, yy, dx, dy);
    }
}
