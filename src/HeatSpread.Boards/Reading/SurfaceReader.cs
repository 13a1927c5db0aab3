using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>How one side gives off its heat, from its JSON.</summary>
internal static class SurfaceReader
{
    /// <summary>Of solder mask and of most coatings in the infrared (common practice, no source).</summary>
    private const double UsualEmissivity = 0.9;

    private static readonly string[] Keys = ["filmWattsPerM2K", "stillAir", "movingAir", "emissivity", "surroundingsCelsius"];
    private static readonly string[] StillAirKeys = ["orientation"];
    private static readonly string[] MovingAirKeys = ["metresPerSecond", "along"];
    private static readonly string[] Orientations = ["vertical", "faceUp", "faceDown"];
    private static readonly string[] Directions = ["x", "-x", "y", "-y"];

    /// <summary>The surface; a film of NaN where it has a fault.</summary>
    public static Surface Read(JsonElement json, JsonPointer at, double ambientCelsius, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, Keys);
        double emissivity = members.Number("emissivity") ?? UsualEmissivity;
        double? given = members.Number("surroundingsCelsius");
        double surroundings = given ?? ambientCelsius;
        if (emissivity is < 0 or > 1) state.Faults.Add(at["emissivity"], $"Must lie between 0 and 1; found {Phrase.Number(emissivity)}.");
        ValueRules.RequireTemperature(given, at["surroundingsCelsius"], state.Faults);
        if (!members.RequireExactlyOne("filmWattsPerM2K", "stillAir", "movingAir")) return new FilmSurface(double.NaN);
        if (members.Has("stillAir")) return StillAir(members.Value("stillAir"), at["stillAir"], emissivity, surroundings, state);
        if (members.Has("movingAir")) return MovingAir(members.Value("movingAir"), at["movingAir"], emissivity, surroundings, state);
        return Film(members, at, state);
    }

    private static FilmSurface Film(JsonMembers members, JsonPointer at, ReadingState state)
    {
        foreach (string key in (string[])["emissivity", "surroundingsCelsius"])
            if (members.Has(key)) state.Faults.Add(at[key], $"`filmWattsPerM2K` is the whole film coefficient, nothing is added to it; `{key}` must be left out beside it.");
        double film = members.RequiredNumber("filmWattsPerM2K");
        ValueRules.RequireNotNegative(film, at["filmWattsPerM2K"], state.Faults);
        return new FilmSurface(film);
    }

    private static StillAirSurface StillAir(JsonElement json, JsonPointer at, double emissivity, double surroundings, ReadingState state)
    {
        string orientation = new JsonMembers(json, at, state, StillAirKeys).RequiredText("orientation");
        ValueRules.RequireWord(orientation, Orientations, at["orientation"], state.Faults);
        return new StillAirSurface(orientation switch { "faceUp" => AirOrientation.FaceUp, "faceDown" => AirOrientation.FaceDown, _ => AirOrientation.Vertical }, emissivity, surroundings);
    }

    private static MovingAirSurface MovingAir(JsonElement json, JsonPointer at, double emissivity, double surroundings, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, MovingAirKeys);
        double speed = members.RequiredNumber("metresPerSecond");
        string along = members.RequiredText("along");
        ValueRules.RequirePositive(speed, at["metresPerSecond"], state.Faults);
        ValueRules.RequireWord(along, Directions, at["along"], state.Faults);
        return new MovingAirSurface(speed, along switch { "-x" => new(-1, 0), "y" => new(0, 1), "-y" => new(0, -1), _ => new(1, 0) }, emissivity, surroundings);
    }
}
