using HeatSpread.Import.Assembly;
using HeatSpread.Import.Connectivity;
using HeatSpread.Import.Gerber;

namespace HeatSpread.Import.Parts;

/// <summary>Pads by the pins that the copper files name.</summary>
internal sealed class PinPads
{
    private readonly BoardCopper copper;
    private readonly Dictionary<string, List<(int Layer, string Pin, int Element, GraphicObject Item)>> pads = new(StringComparer.Ordinal);

    public PinPads(BoardCopper copper)
    {
        this.copper = copper;
        for (int layer = 0; layer < copper.Layers.Count; layer++)
        {
            var elements = copper.Layers[layer].Elements;
            for (int i = 0; i < elements.Count; i++)
            {
                foreach (var pin in elements[i].IsDark ? elements[i].Attributes.Pins : [])
                {
                    if (!pads.TryGetValue(pin.Part, out var ofPart)) pads[pin.Part] = ofPart = [];
                    ofPart.Add((layer, pin.Pin, i, elements[i]));
                }
            }
        }
    }

    /// <summary>A part's pads on one layer.</summary>
    public IReadOnlyList<(string Pin, PadCandidate Pad)> Of(string part, int layer) => !pads.TryGetValue(part, out var found) ? []
        : [.. found.Where(p => p.Layer == layer).Select(p => (p.Pin, new PadCandidate(layer, p.Element, SpanCutter.Bounds(p.Item.Shape))))];

    /// <summary>The side on which alone the part has pads, or has its surface-mount pads; null where both sides have them alike, or nothing is known.</summary>
    public string? Side(string part)
    {
        int bottom = copper.Layers.Count - 1;
        if (bottom == 0 || !pads.TryGetValue(part, out var found)) return null;
        return OneSide(found) ?? OneSide([.. found.Where(p => p.Item.Attributes.Function?.StartsWith("SMDPad", StringComparison.Ordinal) == true)]);

        string? OneSide(List<(int Layer, string Pin, int Element, GraphicObject Item)> some)
        {
            bool onTop = some.Exists(p => p.Layer == 0), onBottom = some.Exists(p => p.Layer == bottom);
            return onTop == onBottom ? null : onTop ? "top" : "bottom";
        }
    }

    /// <summary>The parts, those on the board in a sentence.</summary>
    public string KnownParts()
    {
        var known = pads.Keys.Order(StringComparer.Ordinal).ToList();
        return string.Join(", ", known.Take(60)) + (known.Count > 60 ? $" and {known.Count - 60} more" : "");
    }

    /// <summary>Parts with the number of their pins.</summary>
    public IEnumerable<(string Id, int Pins)> Parts => pads.Select(p => (p.Key, p.Value.Select(pad => pad.Pin).Distinct().Count()));
}
