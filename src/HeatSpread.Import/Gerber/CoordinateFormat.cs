using System.Globalization;

namespace HeatSpread.Import.Gerber;

/// <summary>How the digits of a coordinate are read: the FS command of the Gerber Layer Format Specification, with its older forms.</summary>
/// <param name="IntegerX">Digits before the point.</param>
/// <param name="DecimalX">Digits after the point.</param>
/// <param name="IntegerY">Digits before the point.</param>
/// <param name="DecimalY">Digits after the point.</param>
/// <param name="TrailingOmitted">Trailing zeros are left out, not leading ones.</param>
/// <param name="IsIncremental">Coordinates are steps from the current point.</param>
internal sealed record CoordinateFormat(int IntegerX, int DecimalX, int IntegerY, int DecimalY, bool TrailingOmitted, bool IsIncremental)
{
    private static readonly double[] PowersOfTen = [1, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9];

    /// <summary>What older readers took where a file says nothing.</summary>
    public static CoordinateFormat Default { get; } = new(2, 4, 2, 4, false, false);

    /// <summary>Parses the text after <c>FS</c>, such as <c>LAX46Y46</c> or <c>TIN2X34Y34</c>; null if it is no format.</summary>
    public static CoordinateFormat? Parse(string text)
    {
        bool trailing = false, incremental = false;
        (int Whole, int Fraction)? x = null, y = null;
        for (int i = 0; i < text.Length; i++)
        {
            switch (text[i])
            {
                case 'L' or 'D' or 'A' or ' ': break;
                case 'T': trailing = true; break;
                case 'I': incremental = true; break;
                case 'X': x = Digits(text, i + 1); i += 2; break;
                case 'Y': y = Digits(text, i + 1); i += 2; break;
                case 'N' or 'G' or 'M' or 'Z': i++; break; // lengths of fields nobody uses
                default: return null;
            }
        }
        return x is { } h && y is { } v ? new CoordinateFormat(h.Whole, h.Fraction, v.Whole, v.Fraction, trailing, incremental) : null;
    }

    /// <summary>The number that a coordinate word stands for, in file units; null if it is none.</summary>
    public double? ReadX(ReadOnlySpan<char> digits) => Read(digits, IntegerX, DecimalX);

    /// <inheritdoc cref="ReadX"/>
    public double? ReadY(ReadOnlySpan<char> digits) => Read(digits, IntegerY, DecimalY);

    private static (int Whole, int Fraction)? Digits(string text, int at) =>
        at + 1 < text.Length && char.IsAsciiDigit(text[at]) && char.IsAsciiDigit(text[at + 1]) ? (text[at] - '0', text[at + 1] - '0') : null;

    private double? Read(ReadOnlySpan<char> word, int whole, int fraction)
    {
        if (word.Contains('.')) return double.TryParse(word, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) ? value : null;
        bool negative = word.Length > 0 && word[0] == '-';
        var digits = word.TrimStart("+-");
        if (digits.Length is 0 or > 18 || !long.TryParse(digits, NumberStyles.None, CultureInfo.InvariantCulture, out long number)) return null;
        int scale = TrailingOmitted ? digits.Length - whole : fraction;
        double magnitude = scale >= 0 ? number / Power(scale) : number * Power(-scale);
        return negative ? -magnitude : magnitude;
    }

    private static double Power(int exponent) => exponent < PowersOfTen.Length ? PowersOfTen[exponent] : Math.Pow(10, exponent);
}
