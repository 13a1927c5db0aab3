using HeatSpread.Boards;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Boundary;

/// <summary>From a solved field (rises over ambient) to what each surface does.</summary>
internal static class SurfaceReader
{
    public static SurfaceReadings Read(ThermalNetwork network, Conditions conditions, OuterFaces faces, RimFilm rim, ReadOnlySpan<double> field) => new(
        Side(network, conditions, faces[BoardSide.Top], field),
        Side(network, conditions, faces[BoardSide.Bottom], field),
        Edges(conditions, rim, field),
        Contacts(conditions, faces, field));

    private static SurfaceReading Side(ThermalNetwork network, Conditions conditions, OuterFace face, ReadOnlySpan<double> field)
    {
        var grid = network.Raster.Grid;
        double area = 0, celsius = 0, convection = 0, radiation = 0, convectionWatts = 0, radiationWatts = 0;
        var (least, greatest) = (double.PositiveInfinity, double.NegativeInfinity);
        var (coldest, hottest) = (double.PositiveInfinity, double.NegativeInfinity);
        for (int cell = 0; cell < face.CellCount; cell++)
        {
            double a = face.FilmArea(cell);
            if (a <= 0) continue;
            double t = conditions.AmbientCelsius + face.FaceRise(cell, field);
            var at = grid.Centre(cell % grid.Columns, cell / grid.Columns);
            var (flux, films) = (face.Law.At(t, at), face.Law.Films(t, at));
            area += a;
            celsius += a * t;
            convection += a * films.Convection;
            radiation += a * films.Radiation;
            convectionWatts += a * flux.Convection;
            radiationWatts += a * flux.Radiation;
            double film = films.Convection + films.Radiation;
            (least, greatest) = (Math.Min(least, film), Math.Max(greatest, film));
            (coldest, hottest) = (Math.Min(coldest, t), Math.Max(hottest, t));
        }
        double watts = face.FilmWatts(field);
        if (area <= 0) return new() { Correlation = face.Law.Regime(conditions.AmbientCelsius).Correlation, AreaSquareMeters = 0, Watts = watts, Warnings = [] };
        var regime = face.Law.Regime(celsius / area);
        bool air = !face.Law.IsLinear;
        return new SurfaceReading
        {
            Correlation = regime.Correlation,
            AreaSquareMeters = area,
            MeanCelsius = celsius / area,
            Watts = watts,
            ConvectionWatts = air ? convectionWatts : null,
            RadiationWatts = air ? radiationWatts : null,
            MeanFilm = (convection + radiation) / area,
            LeastFilm = least,
            GreatestFilm = greatest,
            ConvectiveFilm = air ? convection / area : null,
            RadiativeFilm = air ? radiation / area : null,
            LengthScale = regime.LengthScale,
            Rayleigh = regime.Rayleigh,
            Reynolds = regime.Reynolds,
            Nusselt = convection / area * regime.LengthScale / regime.AirConductivity,
            Prandtl = regime.Prandtl,
            Warnings = [.. regime.Warnings, .. face.Law.AirWarnings(coldest, hottest)],
        };
    }

    private static SurfaceReading Edges(Conditions conditions, RimFilm rim, ReadOnlySpan<double> field)
    {
        double watts = rim.Watts(field);
        return new SurfaceReading
        {
            Correlation = SurfaceRegime.Given.Correlation,
            AreaSquareMeters = rim.Area,
            MeanCelsius = rim.Film > 0 ? conditions.AmbientCelsius + watts / (rim.Film * rim.Area) : null,
            Watts = watts,
            MeanFilm = rim.Film,
            LeastFilm = rim.Film,
            GreatestFilm = rim.Film,
            Warnings = [],
        };
    }

    private static ContactReading[] Contacts(Conditions conditions, OuterFaces faces, ReadOnlySpan<double> field)
    {
        var readings = new ContactReading[conditions.Contacts.Count];
        for (int contact = 0; contact < readings.Length; contact++)
        {
            var face = faces[conditions.Contacts[contact].Side];
            double watts = 0, area = 0, rise = 0;
            foreach (var held in face.Contacts.Where(held => held.Contact == contact))
            {
                watts += face.Watts(held, field);
                area += held.Area;
                rise += held.Area * face.ContactRise(held, field);
            }
            readings[contact] = new(watts, area > 0 ? conditions.AmbientCelsius + rise / area : null, area);
        }
        return readings;
    }
}
