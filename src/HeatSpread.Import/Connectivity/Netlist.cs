using System.Globalization;
using System.Text.RegularExpressions;
using HeatSpread.Boards;
using HeatSpread.Import.Shapes;

namespace HeatSpread.Import.Connectivity;

/// <summary>
/// Net names at places, from an IPC-D-356 netlist (A or B): records 317, 327 and their continuations. Columns 4 to 17 are the net's name, 39 to 41
/// the access side (A00 both, A01 top, A02 the last but by number of layers), then X and Y with signs.
/// </summary>
internal static partial class Netlist
{
    private const double TenThousandthOfAnInch = Lengths.MillimetersPerInch / 10_000;
    private const int MaxPoints = 500_000;

    public static bool IsOne(string text) => Record().Count(text[..Math.Min(text.Length, 20_000)]) >= 3;

    /// <param name="text">Content.</param>
    /// <param name="layers">Number of copper layers.</param>
    /// <param name="notes">Gains what was passed over.</param>
    public static IReadOnlyList<NetMark> Read(string text, int layers, FileNotes notes)
    {
        var points = new List<NetMark>();
        var longNames = new Dictionary<string, string>(StringComparer.Ordinal);
        double unit = TenThousandthOfAnInch;
        int number = 0;
        foreach (string raw in text.Split('\n'))
        {
            number++;
            string line = raw.TrimEnd('\r', ' ');
            if (line.StartsWith("999", StringComparison.Ordinal)) break;
            if (line.StartsWith('P')) ReadParameter(line, longNames, ref unit);
            else if (IsPoint(line)) AddPoint(line, number, unit, layers, longNames, points, notes);
            if (points.Count > MaxPoints) throw new UnreadableFileException(number, 1, $"a netlist may name {MaxPoints} places at most");
        }
        return points;
    }

    private static bool IsPoint(string line) => line.Length > 40 && line[0] == '3' && line[1] is '1' or '2' && line[2] == '7';

    /// <summary><c>P  UNITS CUST 0</c>: 0.0001 inch, 1 (or SI): 0.001 mm; <c>P  NNAME1 a long name</c>.</summary>
    private static void ReadParameter(string line, Dictionary<string, string> longNames, ref double unit)
    {
        string[] words = line[1..].Split(' ', StringSplitOptions.RemoveEmptyEntries);
        if (words.Length >= 2 && words[0] == "UNITS") unit = words[^1] == "1" || words[1] == "SI" ? 0.001 : TenThousandthOfAnInch;
        else if (words.Length >= 2 && words[0].StartsWith("NNAME", StringComparison.Ordinal)) longNames[words[0]] = string.Join(' ', words.Skip(1));
    }

    private static void AddPoint(string line, int number, double unit, int layers, Dictionary<string, string> longNames, List<NetMark> points, FileNotes notes)
    {
        string net = line[3..Math.Min(17, line.Length)].Trim();
        if (net.Length == 0 || net == "N/C") return;
        net = longNames.GetValueOrDefault(net, net);
        var place = Place().Match(line, Math.Min(31, line.Length));
        if (!place.Success || !double.TryParse(place.Groups["x"].ValueSpan, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out double x) || !double.TryParse(place.Groups["y"].ValueSpan, NumberStyles.AllowLeadingSign, CultureInfo.InvariantCulture, out double y))
        {
            notes.Warn(number, "has records without a place, which were passed over");
            return;
        }
        var at = new Point(Lengths.Round(x * unit), Lengths.Round(y * unit));
        int access = Access().Match(line, Math.Min(31, line.Length)) is { Success: true } found ? int.Parse(found.Groups[1].ValueSpan, NumberStyles.None, CultureInfo.InvariantCulture) : 0;
        if (access == 0 || line[1] == '1')
        {
            points.Add(new NetMark(0, at, net));
            if (layers > 1) points.Add(new NetMark(layers - 1, at, net));
        }
        else points.Add(new NetMark(access == 1 ? 0 : access == 2 ? layers - 1 : Math.Min(access, layers) - 1, at, net));
    }

    [GeneratedRegex(@"^3[12]7.{38,}X *[+\- ]?\d+ *Y *[+\- ]?\d+", RegexOptions.Multiline | RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 2000)]
    private static partial Regex Record();

    [GeneratedRegex(@"X(?<x>[+\-]?\d{1,8})\s*Y(?<y>[+\-]?\d{1,8})", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Place();

    [GeneratedRegex(@"A(\d\d)\s*X", RegexOptions.CultureInvariant, matchTimeoutMilliseconds: 1000)]
    private static partial Regex Access();
}
