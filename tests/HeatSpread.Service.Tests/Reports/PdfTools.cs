using System.Diagnostics;
using System.Text;
using System.Text.RegularExpressions;

namespace HeatSpread.Service.Tests.Reports;

/// <summary>Reads PDFs with the tools of poppler, a renderer that is no part of this project. Tests that need them are skipped where they are not installed.</summary>
internal static partial class PdfTools
{
    public static void SkipWithout(string tool)
    {
        bool isThere = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Any(folder => File.Exists(Path.Combine(folder, tool)));
        Assert.SkipUnless(isThere, $"{tool} (of poppler-utils) is not installed");
    }

    /// <summary>The words of a PDF in the order in which they were written, without the margins of its pages.</summary>
    public static string Words(byte[] pdf)
    {
        string text = Encoding.UTF8.GetString(Run("pdftotext", ["-raw", "-enc", "UTF-8", "-", "-"], pdf));
        var pages = text.Split('\f').Select(page => string.Join('\n', page.Split('\n').Where(line => !Margin().IsMatch(line))));
        return string.Join('\n', pages);
    }

    /// <summary>The fonts of a PDF: name, and whether it is inside.</summary>
    public static IEnumerable<(string Name, bool IsInside)> Fonts(byte[] pdf)
    {
        string file = Path.GetTempFileName();
        try
        {
            File.WriteAllBytes(file, pdf);
            foreach (string line in Encoding.UTF8.GetString(Run("pdffonts", [file], [])).Split('\n').Skip(2).Where(line => line.Length > 0))
            {
                string[] columns = line[55..].Split(' ', StringSplitOptions.RemoveEmptyEntries);
                yield return (line[..36].Trim(), columns.Contains("yes") && columns.First(column => column is "yes" or "no") == "yes");
            }
        }
        finally
        {
            File.Delete(file);
        }
    }

    /// <summary>Every page in grey.</summary>
    /// <param name="pdf">The file.</param>
    /// <param name="dotsPerInch">Of the pictures.</param>
    public static IEnumerable<GreyPage> Pages(byte[] pdf, int dotsPerInch)
    {
        byte[] all = Run("pdftoppm", ["-gray", "-r", $"{dotsPerInch}", "-"], pdf);
        for (int at = 0; at < all.Length;)
        {
            var (page, end) = GreyPage.Read(all, at);
            yield return page;
            at = end;
        }
    }

    private static byte[] Run(string tool, string[] arguments, byte[] input)
    {
        var start = new ProcessStartInfo(tool, arguments) { RedirectStandardInput = true, RedirectStandardOutput = true };
        using var process = Process.Start(start)!;
        var feeding = Task.Run(() =>
        {
            process.StandardInput.BaseStream.Write(input);
            process.StandardInput.Close();
        }, TestContext.Current.CancellationToken);
        using var output = new MemoryStream();
        process.StandardOutput.BaseStream.CopyTo(output);
        process.WaitForExit();
        feeding.GetAwaiter().GetResult();
        Assert.Equal(0, process.ExitCode);
        return output.ToArray();
    }

    [GeneratedRegex(@"^(Thermal report · .*|\d{4}-\d\d-\d\d|Solution [0-9a-f]+ · computed, not measured|Page \d+ of \d+)$")]
    private static partial Regex Margin();
}

/// <summary>A page as a picture of grey values, 255 white.</summary>
internal sealed record GreyPage(int Width, int Height, byte[] Grey)
{
    /// <summary>Reads a picture of the format PGM, binary, 8 bits.</summary>
    /// <returns>The picture and where the next one begins.</returns>
    public static (GreyPage Page, int End) Read(byte[] file, int at)
    {
        var words = new List<string>();
        while (words.Count < 4)
        {
            int end = Array.FindIndex(file, at, value => value is (byte)' ' or (byte)'\n');
            words.Add(Encoding.ASCII.GetString(file, at, end - at));
            at = end + 1;
        }
        Assert.Equal(("P5", "255"), (words[0], words[3]));
        int width = int.Parse(words[1], System.Globalization.CultureInfo.InvariantCulture), height = int.Parse(words[2], System.Globalization.CultureInfo.InvariantCulture);
        return (new(width, height, file[at..(at + width * height)]), at + width * height);
    }

    /// <summary>Box of all that is not white; empty on a blank page.</summary>
    public (int Left, int Top, int Right, int Bottom) Ink()
    {
        int left = Width, top = Height, right = -1, bottom = -1;
        for (int i = 0; i < Grey.Length; i++)
        {
            if (Grey[i] > 250) continue;
            (int x, int y) = (i % Width, i / Width);
            (left, top, right, bottom) = (Math.Min(left, x), Math.Min(top, y), Math.Max(right, x), Math.Max(bottom, y));
        }
        return (left, top, right, bottom);
    }
}
