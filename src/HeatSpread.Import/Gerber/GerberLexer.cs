using System.Text;

namespace HeatSpread.Import.Gerber;

/// <summary>One command of a Gerber file, line ends taken out.</summary>
/// <param name="Text">Without the closing <c>*</c>.</param>
/// <param name="Blocks">Of an extended command: what follows its first <c>*</c> (the body of a macro).</param>
/// <param name="IsExtended">Stood between percent signs.</param>
/// <param name="Line">Of its first character, from 1.</param>
/// <param name="Column">Of its first character, from 1.</param>
internal sealed record GerberCommand(string Text, IReadOnlyList<string> Blocks, bool IsExtended, int Line, int Column);

/// <summary>Cuts a Gerber file into commands.</summary>
internal sealed class GerberLexer
{
    private readonly string text;
    private int position;
    private int line = 1;
    private int lineStart;

    private GerberLexer(string text) => this.text = text;

    /// <summary>Commands in file order. A file that ends within a command gives that command all the same, if it is not blank.</summary>
    public static IEnumerable<GerberCommand> Read(string text)
    {
        var lexer = new GerberLexer(text);
        var extended = new List<GerberCommand>();
        while (lexer.SkipBlank())
        {
            if (lexer.text[lexer.position] != '%')
            {
                yield return lexer.ReadBlock(isExtended: false);
                continue;
            }
            lexer.position++;
            extended.Clear();
            lexer.ReadExtended(extended);
            foreach (var command in extended) yield return command;
        }
    }

    /// <summary>Moves to the next character that means something; false at the end.</summary>
    private bool SkipBlank()
    {
        while (position < text.Length && (char.IsWhiteSpace(text[position]) || text[position] is '*' or '\0' or '\uFEFF')) Advance();
        return position < text.Length;
    }

    private void Advance()
    {
        if (text[position] == '\n')
        {
            line++;
            lineStart = position + 1;
        }
        position++;
    }

    /// <summary>Reads to the next <c>*</c> (or, in an extended command, percent sign).</summary>
    private GerberCommand ReadBlock(bool isExtended)
    {
        int startLine = line, startColumn = position - lineStart + 1;
        var builder = new StringBuilder();
        while (position < text.Length && text[position] != '*' && !(text[position] == '%' && (isExtended || !IsComment(builder))))
        {
            if (text[position] is not ('\r' or '\n' or '\0')) builder.Append(text[position]);
            Advance();
        }
        if (position < text.Length && text[position] == '*') Advance();
        return new GerberCommand(builder.ToString().Trim(), [], isExtended, startLine, startColumn);
    }

    /// <summary>A percent sign in a comment is text.</summary>
    private static bool IsComment(StringBuilder command) => command.Length >= 3 && command.ToString(0, 3) == "G04";

    /// <summary>Everything between two percent signs: one macro with its body, or any number of other commands.</summary>
    private void ReadExtended(List<GerberCommand> commands)
    {
        int startLine = line, startColumn = position - lineStart;
        while (SkipBlank() && text[position] != '%') commands.Add(ReadBlock(isExtended: true));
        if (position >= text.Length) throw new UnreadableFileException(startLine, Math.Max(1, startColumn), "the extended command that begins here with '%' must end with '%', but the file ends first");
        position++;
        if (commands.Count > 1 && commands[0].Text.StartsWith("AM", StringComparison.Ordinal))
        {
            var macro = commands[0] with { Blocks = [.. commands.Skip(1).Select(c => c.Text)] };
            commands.Clear();
            commands.Add(macro);
        }
    }
}
