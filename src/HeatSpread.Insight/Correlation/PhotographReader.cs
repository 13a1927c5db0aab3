using System.Globalization;
using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight.Studies;

namespace HeatSpread.Insight.Correlation;

/// <summary>Reads a thermal photograph: its pixels as CSV text or as an array file of NumPy (format 1 or 2, little-endian float32 or float64, base64), and how it lies on the board.</summary>
internal static class PhotographReader
{
    private const int UsualPoints = 150, MostPoints = 1000, MostPixels = 4_000_000;

    private static readonly string[] Keys = ["side", "csv", "npy", "reference", "toleranceKelvin", "standardUncertaintyKelvin", "points"];
    private static readonly string[] ReferenceKeys = ["pixel", "at"];

    public static IReadOnlyList<MeasuredPoint> Read(JsonElement json, JsonPointer at, StudyCases? cases, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, Keys);
        if (!members.IsObject) return [];
        double uncertainty = CorrelationReader.Uncertainty(members, at, state);
        string side = members.RequiredText("side");
        if (side.Length > 0 && side is not ("top" or "bottom")) state.Faults.Add(at["side"], $"Must be `top` or `bottom`; found {Phrase.Quoted(side)}.");
        int most = members.Has("points") ? members.RequiredCount("points") : UsualPoints;
        if (most > MostPoints) state.Faults.Add(at["points"], $"May be at most {MostPoints}; found {most}.");
        var references = members.RequiredList("reference", 2, "two reference points", (item, here, reading) => Reference(item, here, cases?.Unit, reading));
        if (members.Has("reference") && references.Count != 2) state.Faults.Add(at["reference"], $"Must hold two reference points; found {references.Count}.");
        else if (references.Count == 2 && double.Hypot(references[0].At.X - references[1].At.X, references[0].At.Y - references[1].At.Y) < 1e-4) state.Faults.Add(at["reference"], "The two reference points must lie apart on the board, by 0.1 mm at least.");
        var (celsius, columns) = Pixels(members, at, state);
        if (cases is null || columns == 0 || references.Count != 2 || double.IsNaN(uncertainty) || most > MostPoints) return [];
        var photograph = new ThermalPhotograph(celsius, columns, references[0], references[1], side == "bottom" ? BoardSide.Bottom : BoardSide.Top, uncertainty);
        var points = photograph.Points(cases.Base.Board, most);
        if (points.Count == 0) state.Faults.Add(at["reference"], "By these reference points no pixel lies on the board.");
        return points;
    }

    private static ReferencePoint Reference(JsonElement json, JsonPointer at, string? unit, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, ReferenceKeys);
        Point pixel = members.RequiredPosition("pixel"), place = members.RequiredPosition("at");
        double toMeters = unit == "inch" ? 25.4e-3 : 1e-3;
        return new(pixel.X, pixel.Y, new(place.X * toMeters, place.Y * toMeters));
    }

    private static (double[] Celsius, int Columns) Pixels(JsonMembers members, JsonPointer at, ReadingState state)
    {
        if (!members.RequireExactlyOne("csv", "npy")) return ([], 0);
        string key = members.Has("csv") ? "csv" : "npy";
        var value = members.Value(key);
        if (value.ValueKind != JsonValueKind.String)
        {
            state.Faults.Add(at[key], $"Must be a string; found {Phrase.Found(value)}.");
            return ([], 0);
        }
        string? fault = key == "csv" ? Csv(value.GetString()!, out double[] celsius, out int columns) : Npy(value, out celsius, out columns);
        if (fault is null) return (celsius, columns);
        state.Faults.Add(at[key], fault);
        return ([], 0);
    }

    private static string? Csv(string text, out double[] celsius, out int columns)
    {
        (celsius, columns) = ([], 0);
        var values = new List<double>();
        int line = 0;
        foreach (var row in text.AsSpan().EnumerateLines())
        {
            line++;
            if (row.IsWhiteSpace()) continue;
            int before = values.Count;
            foreach (var range in row.SplitAny(",;\t"))
            {
                var cell = row[range].Trim();
                if (!double.TryParse(cell, NumberStyles.Float, CultureInfo.InvariantCulture, out double number)) return $"Line {line}, value {values.Count - before + 1}: must be a number with a point for the decimals; found {Phrase.Quoted(cell.ToString())}.";
                values.Add(number);
                if (values.Count > MostPixels) return $"May hold at most {MostPixels} pixels.";
            }
            if (columns == 0) columns = values.Count - before;
            if (values.Count - before != columns) return $"Line {line} has {values.Count - before} values, the first one {columns}: all must have as many.";
        }
        celsius = [.. values];
        return columns >= 2 && values.Count / columns >= 2 ? null : "Must have at least two lines of two values.";
    }

    private static string? Npy(JsonElement value, out double[] celsius, out int columns)
    {
        (celsius, columns) = ([], 0);
        if (!value.TryGetBytesFromBase64(out byte[]? bytes)) return "Must be base64 of an array file.";
        if (bytes.Length < 12 || bytes[0] != 0x93 || !bytes.AsSpan(1, 5).SequenceEqual("NUMPY"u8)) return "Must be an array file: it begins with other bytes.";
        int lengthBytes = bytes[6] >= 2 ? 4 : 2, length = lengthBytes == 2 ? BitConverter.ToUInt16(bytes, 8) : BitConverter.ToInt32(bytes, 8), start = 8 + lengthBytes + length;
        if (length < 0 || start > bytes.Length) return "The array file ends within its header.";
        string header = System.Text.Encoding.Latin1.GetString(bytes, 8 + lengthBytes, length);
        int size = header.Contains("'<f4'", StringComparison.Ordinal) ? 4 : header.Contains("'<f8'", StringComparison.Ordinal) ? 8 : 0;
        if (size == 0) return "Must hold little-endian float32 or float64.";
        if (!header.Contains("'fortran_order': False", StringComparison.Ordinal)) return "Must be in row order (`fortran_order` false).";
        var shape = System.Text.RegularExpressions.Regex.Match(header, @"'shape':\s*\((\d{1,6}),\s*(\d{1,6}),?\s*\)");
        if (!shape.Success) return "Must have two dimensions.";
        int rows = int.Parse(shape.Groups[1].Value, CultureInfo.InvariantCulture);
        columns = int.Parse(shape.Groups[2].Value, CultureInfo.InvariantCulture);
        if (rows < 2 || columns < 2 || (long)rows * columns > MostPixels) return $"Must have at least two rows of two pixels, and at most {MostPixels} pixels.";
        if (bytes.Length - start != (long)rows * columns * size) return $"Holds {bytes.Length - start} bytes of pixels; {rows} × {columns} need {(long)rows * columns * size}.";
        celsius = new double[rows * columns];
        for (int i = 0; i < celsius.Length; i++) celsius[i] = size == 4 ? BitConverter.ToSingle(bytes, start + 4 * i) : BitConverter.ToDouble(bytes, start + 8 * i);
        return null;
    }
}
