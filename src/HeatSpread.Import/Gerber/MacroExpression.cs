using System.Globalization;

namespace HeatSpread.Import.Gerber;

/// <summary>Computes an expression of an aperture macro: numbers, <c>$n</c>, brackets, unary signs, <c>+ - x X /</c> with the usual precedence.</summary>
internal sealed class MacroExpression
{
    private readonly string text;
    private readonly IReadOnlyDictionary<int, double> variables;
    private readonly int maxDepth;
    private int position;
    private int depth;

    private MacroExpression(string text, IReadOnlyDictionary<int, double> variables, int maxDepth)
    {
        this.text = text;
        this.variables = variables;
        this.maxDepth = maxDepth;
    }

    /// <summary>The value; null where the text is no expression or its value is not finite. A variable that was not set is 0.</summary>
    public static double? Evaluate(string text, IReadOnlyDictionary<int, double> variables, int maxDepth)
    {
        var expression = new MacroExpression(text.Replace(" ", "", StringComparison.Ordinal), variables, maxDepth);
        double? value = expression.Sum();
        return expression.position == expression.text.Length && value is { } number && double.IsFinite(number) ? number : null;
    }

    private double? Sum()
    {
        double? value = Product();
        while (value is not null && position < text.Length && text[position] is '+' or '-')
        {
            char sign = text[position++];
            double? term = Product();
            value = sign == '+' ? value + term : value - term;
        }
        return value;
    }

    private double? Product()
    {
        double? value = Factor();
        while (value is not null && position < text.Length && text[position] is 'x' or 'X' or '/')
        {
            char sign = text[position++];
            double? factor = Factor();
            value = sign == '/' ? value / factor : value * factor;
        }
        return value;
    }

    private double? Factor()
    {
        bool negative = false;
        while (position < text.Length && text[position] is '+' or '-') negative ^= text[position++] == '-';
        double? value = position >= text.Length ? null : text[position] switch
        {
            '(' => Bracket(),
            '$' => Variable(),
            _ => Number(),
        };
        return negative ? -value : value;
    }

    private double? Bracket()
    {
        if (++depth > maxDepth) return null;
        position++;
        double? value = Sum();
        depth--;
        if (position >= text.Length || text[position] != ')') return null;
        position++;
        return value;
    }

    private double? Variable()
    {
        position++;
        int start = position;
        while (position < text.Length && char.IsAsciiDigit(text[position])) position++;
        if (!int.TryParse(text.AsSpan(start, position - start), NumberStyles.None, CultureInfo.InvariantCulture, out int index)) return null;
        return variables.TryGetValue(index, out double value) ? value : 0;
    }

    private double? Number()
    {
        int start = position;
        while (position < text.Length && (char.IsAsciiDigit(text[position]) || text[position] == '.')) position++;
        return double.TryParse(text.AsSpan(start, position - start), NumberStyles.AllowDecimalPoint, CultureInfo.InvariantCulture, out double value) ? value : null;
    }
}
