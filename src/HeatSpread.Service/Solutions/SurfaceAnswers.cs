namespace HeatSpread.Service.Solutions;

internal sealed record SurfacesAnswer(SurfaceAnswer Top, SurfaceAnswer Bottom, SurfaceAnswer Edges);

/// <summary>How one side, or the rim, gives off its heat: without what contacts cover, means by area, null where it does not apply.</summary>
/// <param name="Correlation">Its name and source, or that the film is given.</param>
/// <param name="AreaMm2">Under the film.</param>
/// <param name="MeanCelsius">Of the face.</param>
/// <param name="Watts">Given off.</param>
/// <param name="ConvectionWatts">To the air; null where a film is given, which does not tell the two apart.</param>
/// <param name="RadiationWatts">To the surroundings; null as before.</param>
/// <param name="MeanFilmWattsPerM2K">Local films of convection (over the ambient) and radiation (over the surroundings) together.</param>
/// <param name="MinFilmWattsPerM2K">The least of them.</param>
/// <param name="MaxFilmWattsPerM2K">The greatest of them; along a stream at the leading edge.</param>
/// <param name="ConvectiveFilmWattsPerM2K">Mean.</param>
/// <param name="RadiativeFilmWattsPerM2K">Mean.</param>
/// <param name="LengthScaleMm">Length in the dimensionless numbers.</param>
/// <param name="Rayleigh">At the mean temperature.</param>
/// <param name="Reynolds">At the mean temperature, over the whole length.</param>
/// <param name="Nusselt">Of the mean convective film.</param>
/// <param name="Prandtl">At the film temperature.</param>
/// <param name="Warnings">Where the correlation is used outside the range that it was published for.</param>
internal sealed record SurfaceAnswer(
    string Correlation,
    double AreaMm2,
    double? MeanCelsius,
    double Watts,
    double? ConvectionWatts,
    double? RadiationWatts,
    double? MeanFilmWattsPerM2K,
    double? MinFilmWattsPerM2K,
    double? MaxFilmWattsPerM2K,
    double? ConvectiveFilmWattsPerM2K,
    double? RadiativeFilmWattsPerM2K,
    double? LengthScaleMm,
    double? Rayleigh,
    double? Reynolds,
    double? Nusselt,
    double? Prandtl,
    IReadOnlyList<string> Warnings);
