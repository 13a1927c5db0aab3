namespace HeatSpread.Rendering.Reports;

/// <summary>The one colour scale of a report's temperature maps: from the coolest to the hottest place of all pictures, to whole degrees outward.</summary>
internal readonly record struct MapScale(double Min, double Max)
{
    public static MapScale Of(ReportSubject subject)
    {
        var (board, field) = (subject.Board, subject.Solution.Field);
        var ranges = board.Layers.Select(layer => ValueRange.Of(field.RowCelsius[layer.Row])).Append(ValueRange.Of(field.TopFaceCelsius)).Append(ValueRange.Of(field.BottomFaceCelsius));
        var cases = board.Parts.Zip(field.Parts).Where(pair => pair.First.Body is not null).Select(pair => CameraScene.CaseCelsius(pair.First, pair.Second)).OfType<double>().Select(celsius => new ValueRange(celsius, celsius));
        var all = ranges.Concat(cases).Aggregate((one, other) => new(Math.Min(one.Min, other.Min), Math.Max(one.Max, other.Max)));
        double min = Math.Floor(all.Min), max = Math.Ceiling(all.Max);
        return new(min, Math.Max(max, min + 1));
    }

    /// <param name="width">Pixels.</param>
    /// <param name="textScale">Of the letters.</param>
    public MapOptions Options(int width, float textScale) => new()
    {
        Width = width,
        TextScale = textScale,
        MinCelsius = Min,
        MaxCelsius = Max,
        Palette = Palettes.Default, // for camera views too: their own would be a second scale
        Isotherms = true,
    };
}
