using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Rendering.Reports;

/// <summary>What surrounds the board, as given and as solved.</summary>
internal static class ConditionsSection
{
    public static ReportSection Of(ReportSubject subject)
    {
        var (conditions, board) = (subject.Conditions, subject.Board);
        var blocks = new List<ReportBlock> { new FactList([.. Facts(subject)]), Surfaces(subject) };
        var readings = Sides(subject).Select(side => (side.Name, side.Reading)).Where(side => side.Reading.Nusselt is not null).ToList();
        if (readings.Count > 0) blocks.Add(Correlations(readings));
        if (conditions.Contacts.Count > 0) blocks.Add(Contacts(subject));
        if (conditions.Currents.Count > 0) blocks.Add(Currents(subject));
        if (conditions.Converter is { } converter && subject.Converter is { } reading) blocks.AddRange(Converter(board, converter, reading));
        return new("Conditions", blocks);
    }

    private static IEnumerable<Fact> Facts(ReportSubject subject)
    {
        var conditions = subject.Conditions;
        yield return new("Ambient", $"{ReportText.Given(conditions.AmbientCelsius)} °C");
        if (conditions.Top is not FilmSurface || conditions.Bottom is not FilmSurface) yield return new("Air pressure", $"{ReportText.Given(conditions.PressureKilopascal)} kPa");
        yield return new("Limit of the board", conditions.BoardLimitCelsius is { } limit ? $"{ReportText.Given(limit)} °C" : "none given");
        var changed = conditions.Watts.OrderBy(entry => entry.Key).Select(entry => $"{subject.Board.Parts[entry.Key].Id} {ReportText.Given(entry.Value)} W").ToList();
        yield return new("Watts other than the layout's", changed.Count == 0 ? "none" : string.Join("; ", changed));
    }

    /// <summary>Top, bottom and rim: what was asked of each, and what came of it.</summary>
    public static IEnumerable<(string Name, string Asked, SurfaceReading Reading)> Sides(ReportSubject subject)
    {
        var (conditions, surfaces) = (subject.Conditions, subject.Solution.Field.Surfaces);
        yield return ("top", Asked(conditions.Top), surfaces.Top);
        yield return ("bottom", Asked(conditions.Bottom), surfaces.Bottom);
        yield return ("edges", $"film of {ReportText.Given(conditions.EdgesFilm)} W/(m²·K)", surfaces.Edges);
    }

    private static string Asked(Surface surface) => surface switch
    {
        FilmSurface film => $"film of {ReportText.Given(film.WattsPerSquareMeterKelvin)} W/(m²·K)",
        StillAirSurface still => $"still air, {Orientation(still.Orientation)}, emissivity {ReportText.Given(still.Emissivity)}, surroundings {ReportText.Given(still.SurroundingsCelsius)} °C",
        MovingAirSurface moving => $"air at {ReportText.Given(moving.MetersPerSecond)} m/s along {Direction(moving.Along)}, emissivity {ReportText.Given(moving.Emissivity)}, surroundings {ReportText.Given(moving.SurroundingsCelsius)} °C",
        _ => surface.ToString(),
    };

    private static string Orientation(AirOrientation orientation) => orientation switch { AirOrientation.Vertical => "vertical", AirOrientation.FaceUp => "facing up", _ => "facing down" };

    private static string Direction(Point along) => along switch { { X: > 0 } => "+x", { X: < 0 } => "−x", { Y: > 0 } => "+y", _ => "−y" };

    private static ReportTable Surfaces(ReportSubject subject)
    {
        TableColumn[] columns = [new("Surface"), new("Asked"), new("Area, mm²", true), new("Mean, °C", true), new("Film, W/(m²·K)", true), new("from – to", true), new("Convection, W", true), new("Radiation, W", true), new("Heat, W", true)];
        return new("Surfaces as solved, without what contacts cover", columns, [.. Sides(subject).Select(side => new TableRow([
            side.Name,
            side.Asked,
            ReportText.Significant(side.Reading.AreaSquareMeters * 1e6, 4),
            ReportText.Kelvin(side.Reading.MeanCelsius),
            Number(side.Reading.MeanFilm),
            side.Reading is { LeastFilm: { } least, GreatestFilm: { } greatest } ? $"{ReportText.Significant(least)} – {ReportText.Significant(greatest)}" : ReportText.None,
            Watts(side.Reading.ConvectionWatts),
            Watts(side.Reading.RadiationWatts),
            ReportText.Watts(side.Reading.Watts),
        ]))]);
    }

    private static ReportTable Correlations(IEnumerable<(string Name, SurfaceReading Reading)> sides)
    {
        TableColumn[] columns = [new("Surface"), new("Correlation"), new("Length, mm", true), new("Rayleigh", true), new("Reynolds", true), new("Nusselt", true), new("Prandtl", true)];
        return new("Convection as solved, at the mean temperature", columns, [.. sides.Select(side => new TableRow([
            side.Name, side.Reading.Correlation, Number(side.Reading.LengthScale * 1e3), Number(side.Reading.Rayleigh), Number(side.Reading.Reynolds), Number(side.Reading.Nusselt), Number(side.Reading.Prandtl),
        ]))]);
    }

    private static ReportTable Contacts(ReportSubject subject)
    {
        TableColumn[] columns = [new("Contact"), new("Side"), new("Conductance, W/(m²·K)", true), new("Sink, °C", true), new("Area, mm²", true), new("Board under it, °C", true), new("Heat into it, W", true)];
        return new("Contacts", columns, [.. subject.Conditions.Contacts.Zip(subject.Solution.Field.Surfaces.Contacts, (given, reading) => new TableRow([
            given.Name,
            ReportText.Side(given.Side),
            ReportText.Given(given.WattsPerSquareMeterKelvin),
            ReportText.Given(given.SinkCelsius),
            ReportText.Significant(reading.AreaSquareMeters * 1e6, 4),
            ReportText.Kelvin(reading.MeanCelsius),
            ReportText.Watts(reading.Watts),
        ]))]);
    }

    private static ReportTable Currents(ReportSubject subject)
    {
        TableColumn[] columns = [new("Current"), new("Net"), new("From – to"), new("A", true), new("Drop, mV", true), new("Copper loss, W", true), new("Peak, A/mm²", true), new("at, mm")];
        string Terminal(PartTerminal end) => $"{subject.Board.Parts[end.Part].Id}:{subject.Board.Parts[end.Part].Terminals[end.Terminal].Name}";
        return new("Direct currents in the copper", columns, [.. subject.Solution.Currents.Select(current => new TableRow([
            current.Current.Name,
            current.Net,
            $"{string.Join(", ", current.Current.From.Select(Terminal))} – {string.Join(", ", current.Current.To.Select(Terminal))}",
            ReportText.Given(current.Current.Amperes),
            ReportText.Significant(current.Reading.DropVolts * 1e3),
            ReportText.Watts(current.Reading.CopperWatts),
            ReportText.Significant(current.Reading.PeakAmpsPerSquareMeter * 1e-6),
            $"{current.PeakLayer} {ReportText.At(current.Reading.PeakAt)}",
        ]))]);
    }

    private static IEnumerable<ReportBlock> Converter(Board board, Converter given, ConverterReading reading)
    {
        yield return new SubHeading("Converter");
        yield return new FactList([
            new("Kind", $"{(given.Topology == ConverterTopology.Buck ? "step-down (buck)" : "step-up (boost)")}, {board.Parts[given.Part].Id} with inductor {board.Parts[given.Inductor].Id}"),
            new("Operating point", $"{ReportText.Given(given.InputVolts)} V to {ReportText.Given(given.OutputVolts)} V, {ReportText.Given(given.OutputAmperes)} A, {ReportText.Given(given.SwitchingHertz * 1e-3)} kHz"),
            new("Duty ratio", ReportText.Significant(reading.DutyRatio)),
            new("Inductor's current", $"{ReportText.Significant(reading.InductorAmperes)} A mean, {ReportText.Significant(reading.RippleAmperes)} A ripple peak to peak"),
            new("Power", $"{ReportText.Watts(reading.InputWatts)} W in, {ReportText.Watts(reading.OutputWatts)} W out, efficiency {ReportText.Percent(reading.Efficiency)} % at the temperatures of this solution"),
        ]);
        yield return new ReportTable("Losses of the converter at these temperatures", [new("Part"), new("Loss"), new("W", true)], [
            .. reading.Losses.Select(loss => new TableRow([board.Parts[loss.Part].Id, Loss(loss.Kind), ReportText.Watts(loss.Watts)])),
            new TableRow(["all", "", ReportText.Watts(reading.Losses.Sum(loss => loss.Watts))]) { IsStrong = true },
        ]);
    }

    private static string Loss(string kind) => kind switch
    {
        "switchConduction" => "conduction of the switch",
        "rectifierConduction" => "conduction of the rectifier",
        "deadTime" => "dead time",
        "gate" => "gate charge",
        "quiescent" => "controller",
        "measured" => "from the measured efficiency",
        _ => kind,
    };

    private static string Number(double? value) => value is { } v ? ReportText.Significant(v) : ReportText.None;

    private static string Watts(double? value) => value is { } v ? ReportText.Watts(v) : ReportText.None;
}
