using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>Reads conditions from JSON, strictly, for one board.</summary>
public static class ConditionsReader
{
    /// <summary>Thinner air than at some 30 km of altitude no longer moves as the correlations say.</summary>
    private const double LeastKilopascal = 1;

    private const double MostKilopascal = 1000;

    private static readonly string[] Keys = ["ambientCelsius", "surfaces", "contacts", "watts", "limits", "pressureKilopascal", "currents", "converter"];
    private static readonly string[] SurfacesKeys = ["top", "bottom", "edges"];
    private static readonly string[] EdgesKeys = ["filmWattsPerM2K"];
    private static readonly string[] ContactKeys = ["name", "side", "area", "wattsPerM2K", "sinkCelsius"];
    private static readonly string[] LimitsKeys = ["boardCelsius"];
    private static readonly string[] Sides = ["top", "bottom"];

    /// <param name="json">The value of <c>conditions</c>, of a document from <see cref="PostedJson"/>.</param>
    /// <param name="pointer">Where it stands in what was posted, e.g. <c>/conditions</c>; it begins the pointer of each fault.</param>
    /// <param name="board">Whose parts and outline it refers to; null where that board has faults of its own: what refers to it is then not judged.</param>
    /// <param name="unit">The unit of plan coordinates in it: the layout's.</param>
    /// <param name="limits">Null: the defaults.</param>
    public static Reading<Conditions> Read(JsonElement json, string pointer, Board? board, string unit, LayoutLimits? limits = null)
    {
        var at = JsonPointer.Root(pointer);
        var (conditions, state) = Read(json, at, board, unit, limits);
        if (!state.Faults.Any && board is not null && WayOut.Fault(conditions, board) is { } fault) state.Faults.Add(at["surfaces"], fault);
        return state.Faults.Any ? new(null, state.Faults.Faults()) : new(conditions, []);
    }

    private static (Conditions Conditions, ReadingState State) Read(JsonElement json, JsonPointer at, Board? board, string unit, LayoutLimits? limits)
    {
        var state = new ReadingState(limits ?? LayoutLimits.Default);
        var members = new JsonMembers(json, at, state, Keys);
        double ambient = members.RequiredNumber("ambientCelsius");
        ValueRules.RequireTemperature(ambient, at["ambientCelsius"], state.Faults);
        var surfaces = members.Require("surfaces") ? new JsonMembers(members.Value("surfaces"), at["surfaces"], state, SurfacesKeys) : null;
        var parts = PartNames(board, at, state);
        var converter = members.Has("converter") ? ConverterReader.Read(members.Value("converter"), at["converter"], parts, state) : null;
        var conditions = new Conditions
        {
            AmbientCelsius = ambient,
            PressureKilopascal = ReadPressure(members, at["pressureKilopascal"], state),
            Top = Side(surfaces, "top", at["surfaces"], ambient, state),
            Bottom = Side(surfaces, "bottom", at["surfaces"], ambient, state),
            EdgesFilm = surfaces?.Has("edges") == true ? ReadEdges(surfaces.Value("edges"), at["surfaces"]["edges"], state) : 0,
            Contacts = ReadContacts(members, new Plan(unit, state.Faults, state.Limits), board),
            Watts = ReadWatts(members, at["watts"], parts, converter, state),
            Currents = members.List("currents", state.Limits.Currents, nameof(state.Limits.Currents), new CurrentReader(board, at, state.Faults).Read),
            Converter = converter,
            BoardLimitCelsius = members.Has("limits") ? ReadLimits(members.Value("limits"), at["limits"], state) : null,
        };
        return (conditions, state);
    }

    private static double ReadPressure(JsonMembers members, JsonPointer at, ReadingState state)
    {
        double? pressure = members.Number("pressureKilopascal");
        if (pressure is < LeastKilopascal or > MostKilopascal)
            state.Faults.Add(at, $"Must lie between {Phrase.Number(LeastKilopascal)} and {Phrase.Number(MostKilopascal)} kPa; found {Phrase.Number(pressure.Value)}.");
        return pressure ?? Conditions.StandardKilopascal;
    }

    private static Surface Side(JsonMembers? surfaces, string side, JsonPointer at, double ambient, ReadingState state)
    {
        if (surfaces?.Has(side) == true) return SurfaceReader.Read(surfaces.Value(side), at[side], ambient, state);
        surfaces?.Require(side);
        return new FilmSurface(double.NaN);
    }

    private static double ReadEdges(JsonElement json, JsonPointer at, ReadingState state)
    {
        double film = new JsonMembers(json, at, state, EdgesKeys).RequiredNumber("filmWattsPerM2K");
        ValueRules.RequireNotNegative(film, at["filmWattsPerM2K"], state.Faults);
        return film;
    }

    private static IReadOnlyList<Contact> ReadContacts(JsonMembers members, Plan plan, Board? board)
    {
        if (!members.Has("contacts")) return [];
        var names = new NameTable("contact", "`contacts`", plan.Faults);
        var outline = board is null ? null : new OutlineIndex(board.Outline, plan.ToMetres(plan.Tolerance));
        return members.List("contacts", plan.Limits.Contacts, nameof(plan.Limits.Contacts), (json, here, state) => ReadContact(json, here, plan, outline, names, state));
    }

    private static Contact ReadContact(JsonElement json, JsonPointer at, Plan plan, OutlineIndex? outline, NameTable names, ReadingState state)
    {
        var members = new JsonMembers(json, at, state, ContactKeys);
        string name = members.RequiredText("name"), side = members.RequiredText("side");
        var area = members.RequiredRegion("area");
        double conductance = members.RequiredNumber("wattsPerM2K"), sink = members.RequiredNumber("sinkCelsius");
        names.Add(name, 0, at["name"]);
        ValueRules.RequireWord(side, Sides, at["side"], state.Faults);
        ValueRules.RequirePositive(conductance, at["wattsPerM2K"], state.Faults);
        ValueRules.RequireTemperature(sink, at["sinkCelsius"], state.Faults);
        bool sound = plan.CheckRegion(area, at["area"]);
        var metres = plan.ToMetres(area);
        if (sound && outline?.Overlaps(metres) == false)
            state.Faults.Add(at["area"], "A contact must lie over the board, at least in part; it lies wholly outside the outline.");
        return new Contact(name, side == "bottom" ? BoardSide.Bottom : BoardSide.Top, metres, conductance, sink);
    }

    private static NameTable PartNames(Board? board, JsonPointer at, ReadingState state)
    {
        var parts = new NameTable("part", "the layout", state.Faults);
        if (board is null) parts.MarkIncomplete();
        for (int i = 0; i < board?.Parts.Count; i++) parts.Add(board.Parts[i].Id, i, at);
        return parts;
    }

    private static Dictionary<int, double> ReadWatts(JsonMembers members, JsonPointer at, NameTable parts, Converter? converter, ReadingState state)
    {
        var watts = new Dictionary<int, double>();
        foreach (var (id, value) in members.Map("watts", state.Limits.Parts, nameof(state.Limits.Parts), JsonMembers.ReadNumber))
        {
            ValueRules.RequireNotNegative(value, at[id], state.Faults);
            int part = parts.Resolve(id, at[id]);
            if (part >= 0 && (part == converter?.Part || part == converter?.Inductor))
                state.Faults.Add(at[id], $"The watts of {Phrase.Quoted(id)} follow from `converter`; they must not be given here too.");
            else if (part >= 0) watts[part] = value;
        }
        return watts;
    }

    private static double? ReadLimits(JsonElement json, JsonPointer at, ReadingState state)
    {
        double? limit = new JsonMembers(json, at, state, LimitsKeys).Number("boardCelsius");
        ValueRules.RequireTemperature(limit, at["boardCelsius"], state.Faults);
        return limit;
    }
}
