using System.Globalization;
using System.Text;
using HeatSpread.Boards;

namespace HeatSpread.Rendering.Reports;

/// <summary>How a report writes numbers, times and names.</summary>
internal static class ReportText
{
    public const string None = "–";

    /// <summary>A temperature or a difference, one decimal.</summary>
    public static string Kelvin(double value) => Lettering.Number(value, 1);

    public static string Kelvin(double? value) => value is { } v ? Kelvin(v) : None;

    /// <summary>A bound on an error: two significant digits, never rounded to nothing.</summary>
    public static string Error(double kelvin) => kelvin < 0.005 ? "< 0.01" : Lettering.Number(kelvin, kelvin < 1 ? 2 : 1);

    /// <summary>A change with its sign.</summary>
    public static string Signed(double kelvin)
    {
        string text = Lettering.Number(kelvin, Math.Abs(kelvin) < 0.1 ? 2 : 1);
        return kelvin > 0 && text.AsSpan().IndexOfAnyInRange('1', '9') >= 0 ? "+" + text : text;
    }

    public static string Watts(double watts) => watts == 0 ? "0" : Lettering.Number(watts, Math.Abs(watts) < 0.0995 ? 4 : 3);

    /// <summary>Significant digits, without an exponent where that is short.</summary>
    public static string Significant(double value, int digits = 3)
    {
        if (value == 0 || !double.IsFinite(value)) return value == 0 ? "0" : None;
        int exponent = (int)Math.Floor(Math.Log10(Math.Abs(value)));
        if (exponent is < -4 or > 6) return value.ToString("0." + new string('#', digits - 1) + "e0", CultureInfo.InvariantCulture).Replace('-', '−');
        return Lettering.Number(value, Math.Clamp(digits - 1 - exponent, 0, 8));
    }

    /// <summary>A number as it was given: no digits are added.</summary>
    public static string Given(double value) => value.ToString("0.######", CultureInfo.InvariantCulture).Replace('-', '−');

    public static string Millimetres(double meters) => Given(Math.Round(meters * 1e3, 3));

    public static string Micrometres(double meters) => Given(Math.Round(meters * 1e6, 2));

    public static string Percent(double share) => Lettering.Number(100 * share, 1);

    /// <summary>A place in the plan.</summary>
    public static string At(Point p) => $"({Lettering.Number(p.X * 1e3, 1)}, {Lettering.Number(p.Y * 1e3, 1)})";

    public static string Time(DateTimeOffset time) => time.UtcDateTime.ToString("yyyy-MM-dd HH:mm 'UTC'", CultureInfo.InvariantCulture);

    public static string Day(DateTimeOffset time) => time.UtcDateTime.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture);

    /// <summary>The first digits of a digest, enough to tell entries apart by eye.</summary>
    public static string Short(string digest) => digest.Length > 16 ? digest[..16] : digest;

    public static string Side(BoardSide side) => side == BoardSide.Top ? "top" : "bottom";

    /// <summary>
    /// A name that others chose, made harmless: signs that are not seen, or that turn the direction of writing, are written as their
    /// Unicode numbers.
    /// </summary>
    public static string Visible(string text)
    {
        var visible = new StringBuilder(text.Length);
        foreach (var rune in text.EnumerateRunes())
        {
            bool hidden = Rune.GetUnicodeCategory(rune) is UnicodeCategory.Control or UnicodeCategory.Format or UnicodeCategory.LineSeparator or UnicodeCategory.ParagraphSeparator
                or UnicodeCategory.Surrogate or UnicodeCategory.PrivateUse or UnicodeCategory.OtherNotAssigned;
            if (hidden && rune.Value is not ('\n' or '\t')) visible.Append(Number(rune));
            else if (Rune.IsWhiteSpace(rune)) visible.Append(' ');
            else visible.Append(rune.ToString());
        }
        return visible.ToString();
    }

    /// <summary>A sign as its Unicode number, such as <c>[U+05D0]</c>.</summary>
    public static string Number(Rune rune) => string.Create(CultureInfo.InvariantCulture, $"[U+{rune.Value:X4}]");
}
