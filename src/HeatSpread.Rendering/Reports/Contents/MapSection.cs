using HeatSpread.Boards;

namespace HeatSpread.Rendering.Reports;

/// <summary>Maps of every copper layer and both camera views, all on one scale.</summary>
internal static class MapSection
{
    private const int LargeWidth = 1400, SmallWidth = 960;

    /// <summary>Of the width of the text: below it a row of the others fits on the page.</summary>
    private const float LargeShare = 0.84f;

    /// <summary>Letters of the pictures that are shown at half the width.</summary>
    private const float SmallTextScale = 1.4f;

    public static ReportSection Of(ReportSubject subject)
    {
        var board = subject.Board;
        var scale = MapScale.Of(subject);
        int hottest = Hottest(subject);
        var blocks = new List<ReportBlock>
        {
            new Paragraph($"All maps and views of this section have one colour scale, {ReportText.Given(scale.Min)} to {ReportText.Given(scale.Max)} °C, from dark (cool) to light (hot), so that they can be read in grey too; isotherms carry their temperature in °C. "
                + "Rings are the hot spots of the layer, with rank and temperature. Layers are seen from the top, the bottom view from below.") { KeepsWithNext = true },
        };
        if (hottest >= 0) blocks.Add(Layer(subject, hottest, scale, isLarge: true));
        var small = Enumerable.Range(0, board.Layers.Count).Where(layer => layer != hottest).Select(layer => Layer(subject, layer, scale, isLarge: false));
        blocks.Add(new FigureGrid([.. small, View(subject, BoardSide.Top, scale), View(subject, BoardSide.Bottom, scale)], 2));
        return new("Temperature maps", blocks);
    }

    /// <summary>Index of the layer with the hottest place; -1 on a board without copper.</summary>
    private static int Hottest(ReportSubject subject)
    {
        var layers = subject.Solution.Layers;
        return layers.Count == 0 ? -1 : layers.Index().MaxBy(layer => layer.Item.MaxCelsius).Index;
    }

    private static Figure Layer(ReportSubject subject, int layer, MapScale scale, bool isLarge)
    {
        var summary = subject.Solution.Layers[layer];
        byte[] png = LayerMap.Draw(subject.Board, subject.Raster, subject.Solution.Field, layer, subject.Solution.HotSpots, isLarge ? scale.Options(LargeWidth, 1) : scale.Options(SmallWidth, SmallTextScale));
        string range = $"{ReportText.Kelvin(summary.MinCelsius)} to {ReportText.Kelvin(summary.MaxCelsius)} °C";
        return new(PixelPicture.Of(png, $"Map of the temperatures of layer {summary.Name}: {range}"), $"Layer {summary.Name}: {range}, mean {ReportText.Kelvin(summary.MeanCelsius)} °C.", isLarge ? LargeShare : 1);
    }

    private static Figure View(ReportSubject subject, BoardSide side, MapScale scale)
    {
        byte[] png = CameraView.Draw(subject.Board, subject.Solution.Field, side, scale.Options(SmallWidth, SmallTextScale));
        string name = side == BoardSide.Top ? "Top" : "Bottom, seen from below";
        return new(PixelPicture.Of(png, $"{name}, as a thermal camera would show it, on the scale of the maps"), $"{name}, as a thermal camera would show it: the outer face, and bodies at their case temperature.");
    }
}
