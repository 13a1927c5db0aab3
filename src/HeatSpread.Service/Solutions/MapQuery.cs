using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Rendering;

namespace HeatSpread.Service.Solutions;

/// <summary>How a temperature map is to be drawn, as the query of its address says.</summary>
internal static class MapQuery
{
    public static Reading<MapOptions> Read(IQueryCollection query)
    {
        var reader = new QueryReader(query);
        var usual = new MapOptions();
        var options = Shared(reader) with { Isotherms = reader.Switch("isotherms", usual.Isotherms), Flow = reader.Switch("flow", usual.Flow) };
        if (options.MinCelsius >= options.MaxCelsius) reader.Fault("min", "must be below max", options.MinCelsius.Value.ToString(CultureInfo.InvariantCulture));
        return reader.Finish(options);
    }

    /// <summary>As <see cref="Read"/>, for a map of current density: its ends are A/mm², and it has neither isotherms nor heat flow.</summary>
    public static Reading<MapOptions> ReadCurrent(IQueryCollection query)
    {
        var reader = new QueryReader(query);
        return reader.Finish(SharedFromZero(reader));
    }

    /// <summary>As <see cref="ReadCurrent"/>, for a map of the benefit of copper: its ends are K/mm², and it is of one part.</summary>
    public static Reading<BenefitOptions> ReadBenefit(IQueryCollection query)
    {
        var reader = new QueryReader(query);
        string? part = reader.Text("part");
        if (part is null) reader.Fault("part", "must name a part", "nothing");
        return reader.Finish(new BenefitOptions(part ?? "", SharedFromZero(reader)));
    }

    /// <summary>What every map takes.</summary>
    private static MapOptions Shared(QueryReader reader)
    {
        var usual = new MapOptions();
        return new MapOptions
        {
            Width = reader.Whole("width", usual.Width, 64, 4096),
            MinCelsius = reader.Number("min"),
            MaxCelsius = reader.Number("max"),
            Palette = reader.Choice("palette", Palettes.Names),
            Outlines = reader.Switch("outlines", usual.Outlines),
            Legend = reader.Switch("legend", usual.Legend),
        };
    }

    /// <summary>As <see cref="Shared"/>, of a scale that begins at 0 where no end is given.</summary>
    private static MapOptions SharedFromZero(QueryReader reader)
    {
        var options = Shared(reader);
        if ((options.MinCelsius ?? 0) >= options.MaxCelsius) reader.Fault("max", "must be above min, which is 0 where it is not given", options.MaxCelsius.Value.ToString(CultureInfo.InvariantCulture));
        return options;
    }

    /// <summary>Stands for the options in a tag.</summary>
    public static string Tag(MapOptions options) => string.Create(
        CultureInfo.InvariantCulture,
        $"{options.Width}-{options.MinCelsius}-{options.MaxCelsius}-{options.Palette}-{(options.Outlines ? 1 : 0)}{(options.Isotherms ? 1 : 0)}{(options.Flow ? 1 : 0)}{(options.Legend ? 1 : 0)}");
}

/// <param name="Part">Id.</param>
/// <param name="Map">How it is drawn.</param>
internal sealed record BenefitOptions(string Part, MapOptions Map);
