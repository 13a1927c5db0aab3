using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Boards;

public sealed class ConditionsReaderTests
{
    private const string MoreTerminals = """
        [{ "name": "GND", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[5,5],[8,5],[8,8],[5,8],[5,5]]] } },
         { "name": "P2", "net": "GND", "pad": { "type": "Polygon", "coordinates": [[[15,5],[18,5],[18,8],[15,8],[15,5]]] } },
         { "name": "SW", "net": "SW", "pad": { "type": "Polygon", "coordinates": [[[25,5],[28,5],[28,8],[25,8],[25,5]]] } }]
        """;

    private static readonly Board Board = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/parts/0/terminals", MoreTerminals))).Board!;

    [Fact]
    public void The_sample_is_read_in_SI_units()
    {
        var conditions = Read(Sample.Utf8(Sample.Conditions)).Value!;

        Assert.Equal(25, conditions.AmbientCelsius);
        Assert.Equal(new StillAirSurface(AirOrientation.Vertical, 0.8, 25), conditions.Top);
        Assert.Equal(new FilmSurface(10), conditions.Bottom);
        Assert.Equal(0, conditions.EdgesFilm);
        Assert.Equal(1.9, Assert.Single(conditions.Watts).Value);
        Assert.Equal(120, conditions.BoardLimitCelsius);
        Assert.Equal(101.325, conditions.PressureKilopascal);
        var contact = Assert.Single(conditions.Contacts);
        Assert.Equal((BoardSide.Bottom, 2000, 40), (contact.Side, contact.WattsPerSquareMeterKelvin, contact.SinkCelsius));
        Assert.Equal(new Box(0, 0, 0.005, 0.005), contact.Area.Bounds);
    }

    [Fact]
    public void Currents_name_terminals_of_their_net()
    {
        var conditions = Read(Sample.Edited(Sample.Conditions, ("/currents", """[{ "name": "load", "net": "GND", "amps": 3, "from": ["U1:GND"], "to": ["U1:P2"] }, { "net": "GND", "amps": 0, "from": ["U1:P2"], "to": ["U1:GND"] }]"""))).Value!;

        Assert.Equal(["load", "GND"], conditions.Currents.Select(c => c.Name));
        Assert.Equal((0, 3.0, new PartTerminal(0, 0), new PartTerminal(0, 1)), (conditions.Currents[0].Net, conditions.Currents[0].Amperes, conditions.Currents[0].From[0], conditions.Currents[0].To[0]));
    }

    [Fact]
    public void A_converter_gives_the_watts_of_its_parts_alone()
    {
        const string point = """{ "part": "U1", "inductor": "R1", "inputVolts": 12, "outputVolts": 5, "outputAmps": 3, "switchingKilohertz": 500, "windingMilliohm": 20, "switchMilliohm": 60, "rectifierMilliohm": 40 }""";
        var sound = Read(Sample.Edited(Sample.Conditions, ("/converter", point), ("/watts", "{}"))).Value!.Converter!;
        Assert.Equal((ConverterTopology.Buck, 0, 1, 500e3, 0.06), (sound.Topology, sound.Part, sound.Inductor, sound.SwitchingHertz, sound.Stage!.Switch.Ohms));
        Assert.Equal("/conditions/watts/U1", Assert.Single(Read(Sample.Edited(Sample.Conditions, ("/converter", point))).Faults).Pointer);
    }

    [Fact]
    public void Moving_air_has_a_direction_and_its_own_surroundings()
    {
        byte[] json = Sample.Edited(Sample.Conditions, ("/surfaces/top", "{ \"movingAir\": { \"metresPerSecond\": 1.5, \"along\": \"-y\" }, \"surroundingsCelsius\": 30 }"));

        Assert.Equal(new MovingAirSurface(1.5, new Point(0, -1), 0.9, 30), Read(json).Value!.Top);
    }

    [Theory]
    [InlineData("/ambientCelsius", null, "", "`ambientCelsius` must be given")]
    [InlineData("/ambientCelsius", "-300", "/ambientCelsius", "above absolute zero")]
    [InlineData("/ambientCelcius", "25", "/ambientCelcius", "Did you mean `ambientCelsius`?")]
    [InlineData("/surfaces", null, "", "`surfaces` must be given")]
    [InlineData("/surfaces/bottom", null, "/surfaces", "`bottom` must be given")]
    [InlineData("/surfaces/top", "{}", "/surfaces/top", "Exactly one of `filmWattsPerM2K`, `stillAir`, `movingAir` must be given; found none")]
    [InlineData("/surfaces/top/filmWattsPerM2K", "5", "/surfaces/top", "found `filmWattsPerM2K`, `stillAir`")]
    [InlineData("/surfaces/top/emissivity", "1.1", "/surfaces/top/emissivity", "between 0 and 1; found 1.1")]
    [InlineData("/surfaces/top/surroundingsCelsius", "-274", "/surfaces/top/surroundingsCelsius", "above absolute zero")]
    [InlineData("/surfaces/top/stillAir/orientation", "\"up\"", "/surfaces/top/stillAir/orientation", "one of `vertical`, `faceUp`, `faceDown`")]
    [InlineData("/surfaces/top/stillAir", "\"vertical\"", "/surfaces/top/stillAir", "Must be an object")]
    [InlineData("/surfaces/top", "{ \"movingAir\": { \"metresPerSecond\": 0, \"along\": \"x\" } }", "/surfaces/top/movingAir/metresPerSecond", "greater than 0")]
    [InlineData("/surfaces/top", "{ \"movingAir\": { \"metresPerSecond\": 1, \"along\": \"z\" } }", "/surfaces/top/movingAir/along", "one of `x`, `-x`, `y`, `-y`")]
    [InlineData("/surfaces/bottom/filmWattsPerM2K", "-1", "/surfaces/bottom/filmWattsPerM2K", "at least 0")]
    [InlineData("/surfaces/bottom/emissivity", "0.9", "/surfaces/bottom/emissivity", "nothing is added to it")]
    [InlineData("/surfaces/edges/filmWattsPerM2K", "-1", "/surfaces/edges/filmWattsPerM2K", "at least 0")]
    [InlineData("/contacts/0/side", "\"left\"", "/contacts/0/side", "one of `top`, `bottom`")]
    [InlineData("/contacts/0/wattsPerM2K", "0", "/contacts/0/wattsPerM2K", "greater than 0")]
    [InlineData("/contacts/0/sinkCelsius", null, "/contacts/0", "`sinkCelsius` must be given")]
    [InlineData("/contacts/0/area/coordinates/0", "[[70,0],[80,0],[80,5],[70,0]]", "/contacts/0/area", "wholly outside the outline")]
    [InlineData("/contacts/0/area/coordinates/0", "[[51,31],[54,31],[54,34],[51,31]]", "/contacts/0/area", "wholly outside the outline")]
    [InlineData("/contacts/0/area/coordinates/0", "[[0,0],[9,9],[9,0],[0,9],[0,0]]", "/contacts/0/area/coordinates/0", "must not cross itself")]
    [InlineData("/watts/U2", "1", "/watts/U2", "there is no \"U2\"")]
    [InlineData("/watts/U1", "-1", "/watts/U1", "at least 0")]
    [InlineData("/limits/partCelsius", "1", "/limits/partCelsius", "not a known key")]
    [InlineData("/pressureKilopascal", "0.5", "/pressureKilopascal", "between 1 and 1000 kPa; found 0.5")]
    [InlineData("/pressureKilopascal", "101325", "/pressureKilopascal", "between 1 and 1000 kPa; found 101325")]
    [InlineData("/converter", "{ \"part\": \"U7\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 5, \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"rectifierMilliohm\": 40 }", "/converter/part", "there is no \"U7\"")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"U1\", \"inputVolts\": 12, \"outputVolts\": 5, \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"rectifierMilliohm\": 40 }", "/converter/inductor", "another part")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 13, \"topology\": \"buck\", \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"rectifierMilliohm\": 40 }", "/converter/outputVolts", "must lie below its input")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 12, \"topology\": \"buck\", \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"rectifierMilliohm\": 40 }", "/converter/outputVolts", "Must differ from `inputVolts`")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 12, \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"rectifierMilliohm\": 40 }", "/converter/outputVolts", "Must differ from `inputVolts`")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 5, \"topology\": \"boost\", \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"rectifierMilliohm\": 40 }", "/converter/outputVolts", "must lie above its input")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 5, \"topology\": \"sepic\", \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"rectifierMilliohm\": 40 }", "/converter/topology", "one of `buck`, `boost`")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 5, \"outputAmps\": -3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"rectifierMilliohm\": 40 }", "/converter/outputAmps", "at least 0")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 5, \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60 }", "/converter", "`rectifierMilliohm` of a switch or `rectifierVolts` of a diode")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 5, \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"switchMilliohm\": 60, \"efficiency\": 0.9 }", "/converter/switchMilliohm", "Must be left out")]
    [InlineData("/converter", "{ \"part\": \"U1\", \"inductor\": \"R1\", \"inputVolts\": 12, \"outputVolts\": 5, \"outputAmps\": 3, \"switchingKilohertz\": 500, \"windingMilliohm\": 20, \"efficiency\": 1.1 }", "/converter/efficiency", "below 1; found 1.1")]
    [InlineData("/currents", "{}", "/currents", "must be an array")]
    [InlineData("/currents", "[{ \"net\": \"GND\", \"amps\": -1, \"from\": [\"U1:GND\"], \"to\": [\"U1:P2\"] }]", "/currents/0/amps", "at least 0")]
    [InlineData("/currents", "[{ \"net\": \"GDN\", \"amps\": 1, \"from\": [\"U1:GND\"], \"to\": [\"U1:P2\"] }]", "/currents/0/net", "Did you mean `GND`?")]
    [InlineData("/currents", "[{ \"net\": \"GND\", \"amps\": 1, \"from\": [\"U2:GND\"], \"to\": [\"U1:P2\"] }]", "/currents/0/from/0", "Did you mean `U1:GND`?")]
    [InlineData("/currents", "[{ \"net\": \"GND\", \"amps\": 1, \"from\": [\"U1\"], \"to\": [\"U1:P2\"] }]", "/currents/0/from/0", "as `PART:TERMINAL`")]
    [InlineData("/currents", "[{ \"net\": \"GND\", \"amps\": 1, \"from\": [\"U1:GND\"], \"to\": [\"U1:P9\"] }]", "/currents/0/to/0", "It has `GND`, `P2`, `SW`.")]
    [InlineData("/currents", "[{ \"net\": \"GND\", \"amps\": 1, \"from\": [\"U1:SW\"], \"to\": [\"U1:P2\"] }]", "/currents/0/from/0", "is on net \"SW\"")]
    [InlineData("/currents", "[{ \"net\": \"GND\", \"amps\": 1, \"from\": [], \"to\": [\"U1:P2\"] }]", "/currents/0/from", "at least one terminal")]
    [InlineData("/currents", "[{ \"net\": \"GND\", \"amps\": 1, \"from\": [\"U1:P2\"], \"to\": [\"U1:P2\"] }]", "/currents/0/to/0", "may stand once")]
    [InlineData("/currents", "[{ \"net\": \"GND\", \"amps\": 1, \"from\": [\"U1:GND\"] }]", "/currents/0", "`to` must be given")]
    public void Each_fault_is_told_once_at_its_place(string edit, string? value, string pointer, string detail)
    {
        var reading = Read(edit == "/converter" ? Sample.Edited(Sample.Conditions, (edit, value), ("/watts", "{}")) : Sample.Edited(Sample.Conditions, (edit, value)));

        var fault = Assert.Single(reading.Faults);
        Assert.Equal("/conditions" + pointer, fault.Pointer);
        Assert.Contains(detail, fault.Detail, StringComparison.Ordinal);
        Assert.Null(reading.Value);
    }

    [Fact]
    public void A_board_with_no_way_out_is_a_fault()
    {
        byte[] json = Sample.Edited(Sample.Conditions, ("/surfaces/top", "{ \"filmWattsPerM2K\": 0 }"), ("/surfaces/bottom/filmWattsPerM2K", "0"), ("/contacts", "[]"));
        var sealedBoard = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/parts/0/network/links/2/to", "\"board\""))).Board!;

        Assert.Empty(Read(json).Faults); // the network of U1 leads from its terminal to ambient
        Assert.Equal("/conditions/surfaces", Assert.Single(Read(json, sealedBoard).Faults).Pointer);
    }

    /// <summary>Next to no way out is a wrong unit, not a board at a million degrees; without watts it is no matter.</summary>
    [Fact]
    public void A_board_with_next_to_no_way_out_is_a_fault()
    {
        byte[] json = Sample.Edited(Sample.Conditions, ("/surfaces/top", "{ \"filmWattsPerM2K\": 0 }"), ("/surfaces/bottom/filmWattsPerM2K", "1e-5"), ("/contacts", "[]"));
        byte[] idle = Sample.Edited(Sample.Conditions, ("/surfaces/top", "{ \"filmWattsPerM2K\": 0 }"), ("/surfaces/bottom/filmWattsPerM2K", "1e-5"), ("/contacts", "[]"), ("/watts/U1", "0"), ("/watts/R1", "0"));
        var sealedBoard = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/parts/0/network/links/2/to", "\"board\""))).Board!;

        var fault = Assert.Single(Read(json, sealedBoard).Faults);
        Assert.Equal("/conditions/surfaces", fault.Pointer);
        Assert.Contains("within 100000 K of the ambient", fault.Detail, StringComparison.Ordinal);
        Assert.Empty(Read(json).Faults); // the network of U1 leads from its terminal to ambient
        Assert.Empty(Read(idle, sealedBoard).Faults);
    }

    [Fact]
    public void Faults_can_be_told_without_a_board()
    {
        using var json = PostedJson.Parse(Sample.Edited(Sample.Conditions, ("/ambientCelsius", "\"warm\""), ("/watts/U9", "-1"))).Value!;

        Assert.Equal(["/conditions/ambientCelsius", "/conditions/watts/U9"], ConditionsReader.Read(json.RootElement, "/conditions", null, "mm").Faults.Select(fault => fault.Pointer));
    }

    private static Reading<Conditions> Read(byte[] utf8, Board? board = null)
    {
        using var json = PostedJson.Parse(utf8).Value!;
        return ConditionsReader.Read(json.RootElement, "/conditions", board ?? Board, "mm");
    }
}
