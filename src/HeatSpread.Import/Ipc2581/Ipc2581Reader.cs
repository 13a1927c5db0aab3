using System.Xml;

namespace HeatSpread.Import.Ipc2581;

/// <summary>
/// Reads an IPC-2581 document, revision B or C, as a stream and without entities. Elements are found by name, not by position: a first pass reads
/// what features refer to, a second one the features of the board's step.
/// </summary>
internal sealed partial class Ipc2581Reader
{
    private readonly ReadOnlyMemory<byte> content;
    private readonly FileNotes notes;
    private readonly ImportLimits limits;
    private readonly CancellationToken cancellationToken;
    private readonly Dictionaries dictionaries = new();
    private readonly PrimitiveBuilder primitives;
    private readonly Dictionary<string, LayerInfo> layers = new(StringComparer.Ordinal);
    private readonly Dictionary<string, IpcStep> steps = new(StringComparer.Ordinal);
    private double unit = 1;
    private string? wantedStep;
    private IpcStep? step;
    private int budget;

    private Ipc2581Reader(ReadOnlyMemory<byte> content, FileNotes notes, ImportLimits limits, CancellationToken cancellationToken)
    {
        (this.content, this.notes, this.limits, this.cancellationToken) = (content, notes, limits, cancellationToken);
        primitives = new PrimitiveBuilder(dictionaries, notes, limits);
    }

    /// <exception cref="UnreadableFileException">The document cannot be read on, or it exceeds the limits.</exception>
    public static Ipc2581Document Read(ReadOnlyMemory<byte> content, FileNotes notes, ImportLimits limits, CancellationToken cancellationToken) =>
        new Ipc2581Reader(content, notes, limits, cancellationToken).Read();

    private Ipc2581Document Read()
    {
        Walk(Define);
        var board = ChooseStep();
        Walk((xml, open) => Paint(xml, open, board));
        AddPadstacks(board);
        return new Ipc2581Document
        {
            Revision = revision,
            Layers = [.. layers.Values],
            Stack = FlatStack(),
            OverallThicknessMm = overallThickness,
            Specs = specs,
            Step = board,
            Unpopulated = unpopulated,
        };
    }

    /// <summary>Shows every element that no caller has read whole, with the names of those around it.</summary>
    /// <param name="see">Reads an element to its end (true: the reader stands at its end), or leaves it to be walked through; null passes over it.</param>
    private void Walk(Func<XmlReader, List<string>, bool?> see)
    {
        var settings = new XmlReaderSettings
        {
            DtdProcessing = DtdProcessing.Prohibit,
            XmlResolver = null,
            IgnoreComments = true,
            IgnoreProcessingInstructions = true,
            IgnoreWhitespace = true,
            MaxCharactersInDocument = limits.MaxFileBytes,
        };
        using var stream = new MemoryStream(content.ToArray(), writable: false);
        using var xml = XmlReader.Create(stream, settings);
        try
        {
            WalkElements(xml, see);
        }
        catch (XmlException broken)
        {
            throw new UnreadableFileException(Math.Max(1, broken.LineNumber), Math.Max(1, broken.LinePosition), $"must be well-formed XML without a document type: {FirstSentence(broken.Message)}");
        }
    }

    private void WalkElements(XmlReader xml, Func<XmlReader, List<string>, bool?> see)
    {
        var open = new List<string>();
        for (bool more = xml.Read(); more;)
        {
            cancellationToken.ThrowIfCancellationRequested();
            if (xml.NodeType == XmlNodeType.Element)
            {
                if (open.Count > 60)
                {
                    var (line, column) = XmlPart.Place(xml);
                    throw new UnreadableFileException(line, column, "elements may be nested 60 deep at most");
                }
                bool isEmpty = xml.IsEmptyElement;
                string name = xml.LocalName;
                bool? seen = see(xml, open);
                if (seen is null)
                {
                    xml.Skip();
                    more = !xml.EOF;
                    continue;
                }
                if (seen == false && !isEmpty) open.Add(name);
            }
            else if (xml.NodeType == XmlNodeType.EndElement && open.Count > 0) open.RemoveAt(open.Count - 1);
            more = xml.Read();
        }
    }

    private static string FirstSentence(string message) => message.Length > 160 ? message[..160] : message;

    private XmlPart ReadWhole(XmlReader xml)
    {
        budget = limits.MaxPoints;
        return XmlPart.Read(xml, ref budget);
    }

    /// <summary>The step that the content names; of a panel, the board in it.</summary>
    private IpcStep ChooseStep()
    {
        if (steps.Count == 0) throw new UnreadableFileException(1, 1, "the document must hold a <Step>, and none was found");
        var chosen = wantedStep is not null && steps.TryGetValue(wantedStep, out var named) ? named : steps.Values.FirstOrDefault(s => s.Repeats.Count == 0) ?? steps.Values.First();
        for (int depth = 0; depth < 10 && chosen.Repeats.Count > 0 && !painted.Contains(chosen.Name); depth++)
        {
            var repeat = chosen.Repeats.FirstOrDefault(r => steps.ContainsKey(r.Step));
            if (repeat is null) break;
            notes.Warn(0, $"is a panel: step '{chosen.Name}' repeats {string.Join(", ", chosen.Repeats.Select(r => $"'{r.Step}' {r.CountX} × {r.CountY} times"))}; one board, step '{repeat.Step}', was taken");
            chosen = steps[repeat.Step];
        }
        if (steps.Count > 1 && !painted.Contains(chosen.Name) && painted.Count > 0)
        {
            notes.Warn(0, $"has no features in step '{chosen.Name}'; step '{painted.First()}' was taken");
            chosen = steps[painted.First()];
        }
        return chosen;
    }
}
