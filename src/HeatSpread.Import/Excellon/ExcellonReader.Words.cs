using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Excellon;

/// <summary>The words of the body: coordinates, G and M codes, repeats.</summary>
internal sealed partial class ExcellonReader
{
    /// <summary>What one line says.</summary>
    private struct Words
    {
        public double? X, Y, SlotX, SlotY, Radius;
        public double I, J;
        public bool HasCenter, HasSlot;
        public int? Repeat;
        public int? Motion;

        public readonly bool HasPlace => X is not null || Y is not null;
    }

    private void ObeyWords(string text)
    {
        if (char.ToUpperInvariant(text[0]) == 'T')
        {
            ObeyTool(text.ToUpperInvariant());
            return;
        }
        if (ParseWords(text) is not { } words) return;
        if (words.Repeat is { } count) RepeatHole(count, words);
        else if (words.HasSlot) DrillSlot(words);
        else if (words.HasPlace) ObeyPlace(words);
    }

    /// <summary>Null where the line has been dealt with already, or is unknown.</summary>
    private Words? ParseWords(string text)
    {
        var words = new Words();
        for (int at = 0; at < text.Length;)
        {
            char letter = char.ToUpperInvariant(text[at++]);
            int start = at;
            while (at < text.Length && (char.IsAsciiDigit(text[at]) || text[at] is '+' or '-' or '.')) at++;
            var number = text.AsSpan(start, at - start);
            switch (letter)
            {
                case 'X' when words.HasSlot: words.SlotX = Length(number, start + 1); break;
                case 'Y' when words.HasSlot: words.SlotY = Length(number, start + 1); break;
                case 'X': words.X = Length(number, start + 1); break;
                case 'Y': words.Y = Length(number, start + 1); break;
                case 'I': words.I = Length(number, start + 1); words.HasCenter = true; break;
                case 'J': words.J = Length(number, start + 1); words.HasCenter = true; break;
                case 'A': words.Radius = Length(number, start + 1); break;
                case 'R' when at == number.Length + 1: words.Repeat = Count(number, start); break;
                case 'G' when int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out int code): General(code, ref words); break;
                case 'M' when int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out int code):
                    if (code is 1 or 2 or 25 or 8 && ObeyPattern(code, text[at..])) return null;
                    Machine(code);
                    break;
                case 'N' or 'F' or 'S' or 'T' or ' ': break;
                default:
                    notes.Warn(line, $"has the line '{(text.Length <= 40 ? text : text[..40] + "…")}', which is unknown and was passed over");
                    return null;
            }
        }
        return words;
    }

    private int Count(ReadOnlySpan<char> number, int column) =>
        int.TryParse(number, NumberStyles.None, CultureInfo.InvariantCulture, out int count) && count <= limits.MaxHoles ? count : throw Unreadable($"a repeat count must be 0 to {limits.MaxHoles}, and '{number}' was found", column);

    private void General(int code, ref Words words)
    {
        switch (code)
        {
            case 0: inRoute = true; EndRoute(); words.Motion = 0; break;
            case 1 or 2 or 3: interpolation = code; words.Motion = code; break;
            case 5 or 81: inRoute = false; EndRoute(); break;
            case 85: words.HasSlot = true; break;
            case 90 or 91: isIncremental = code == 91; break;
            case 93: words.Motion = 93; break;
            case 40 or 41 or 42 or 54 or 7: break; // cutter compensation: the centre line is kept
            default: notes.Warn(line, $"has G{code:00}, which is unknown and was passed over"); break;
        }
    }

    private void Machine(int code)
    {
        switch (code)
        {
            case 15: route = [current]; inRoute = true; break;
            case 16 or 17: EndRoute(); break;
            case 71: isInch = false; break;
            case 72: isInch = true; break;
            case 30: ended = true; break;
            case 0: stopped = true; break;
            case 2: ended = true; break;
            case 6 or 9 or 14 or 18 or 47 or 48 or 50 or 95: break;
            default: notes.Warn(line, $"has M{code:00}, which is unknown and was passed over"); break;
        }
    }

    private Point Place(double? x, double? y) => isIncremental
        ? new Point(Lengths.Round(current.X + (x ?? 0)), Lengths.Round(current.Y + (y ?? 0)))
        : new Point(x is { } px ? Lengths.Round(px + zero.X) : current.X, y is { } py ? Lengths.Round(py + zero.Y) : current.Y);

    private void ObeyPlace(in Words words)
    {
        if (words.Motion == 93)
        {
            zero = new Point(words.X ?? 0, words.Y ?? 0);
            return;
        }
        var target = Place(words.X, words.Y);
        if (route is { } path) AppendRoute(path, target, words);
        else if (!inRoute) AddHole(target);
        current = target;
    }

    private void AppendRoute(List<Point> path, Point target, in Words words)
    {
        if (interpolation == 1 || words.Motion == 1) path.Add(target);
        else if (Center(target, words) is { } center) Arcs.Append(path, current, target, center, Arcs.Sweep(current, target, center, interpolation == 2));
        else path.Add(target);
    }

    /// <summary>Of a routed arc: by I and J, or by the radius A of the arc of 180 degrees at most.</summary>
    private Point? Center(Point target, in Words words)
    {
        if (words.HasCenter) return new Point(current.X + words.I, current.Y + words.J);
        double half = Arcs.Distance(current, target) / 2;
        if (words.Radius is not { } radius || half == 0 || radius < half * 0.999) return null;
        double rise = Math.Sqrt(Math.Max(0, radius * radius - half * half)) * (interpolation == 3 ? 1 : -1);
        double ux = (target.X - current.X) / (2 * half), uy = (target.Y - current.Y) / (2 * half);
        return new Point((current.X + target.X) / 2 - uy * rise, (current.Y + target.Y) / 2 + ux * rise);
    }

    private void EndRoute()
    {
        var path = route;
        route = null;
        if (path is null) return;
        if (path.Count > 1 && path.Any(p => p != path[0])) AddSlot(path);
        else AddHole(path[0]); // down and up again without a move
    }

    private void DrillSlot(in Words words)
    {
        var start = Place(words.X, words.Y);
        current = start;
        var end = Place(words.SlotX, words.SlotY);
        current = end;
        if (start == end) AddHole(start);
        else AddSlot([start, end]);
    }

    private void RepeatHole(int count, in Words words)
    {
        for (int i = 0; i < count; i++)
        {
            current = new Point(Lengths.Round(current.X + (words.X ?? 0)), Lengths.Round(current.Y + (words.Y ?? 0)));
            AddHole(current);
        }
    }

    /// <summary>M25 begins a pattern, M01 ends it, each M02 with a shift drills it once more, M08 ends the repeats.</summary>
    private bool ObeyPattern(int code, string rest)
    {
        switch (code)
        {
            case 25: patternStart = holes.Count; patternEnd = -1; patternShift = default; return true;
            case 1: patternEnd = holes.Count; return true;
            case 8: patternEnd = -1; return true;
            case 2 when patternEnd >= 0 && rest.Length > 0: RepeatPattern(rest); return true;
            default: return false;
        }
    }

    private void RepeatPattern(string rest)
    {
        if (ParseWords(rest) is not { } words) return;
        patternShift = new Point(patternShift.X + (words.X ?? 0), patternShift.Y + (words.Y ?? 0));
        for (int i = patternStart; i < patternEnd; i++)
        {
            if (holes.Count >= limits.MaxHoles) throw Unreadable($"a file may make {limits.MaxHoles} holes at most, repeats counted, and this one makes more");
            var hole = holes[i];
            holes.Add(hole with { At = new Point(Lengths.Round(hole.At.X + patternShift.X), Lengths.Round(hole.At.Y + patternShift.Y)) });
        }
    }
}
