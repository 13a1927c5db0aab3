using System.Text;
using System.Text.Json;
using HeatSpread.Boards;
using Xunit;

namespace HeatSpread.Tests.Boards;

public sealed class LayoutReadingTests
{
    private const string Square = "{ \"type\": \"Polygon\", \"coordinates\": [[[10,10],[12,10],[12,12],[10,12],[10,10]]] }";

    [Fact]
    public void The_sample_layout_is_sound()
    {
        var reading = LayoutReading.ReadBoard(Sample.Utf8(Sample.Layout));

        Assert.Empty(reading.Faults);
        Assert.NotNull(reading.Document);
        Assert.NotNull(reading.Board);
    }

    /// <summary>One edit of the sound sample each, with the pointer and a part of the sentence it must give, and no other fault.</summary>
    public static TheoryData<string, string?, string, string> Spoilt => new()
    {
        // keys and types
        { "/colour", "\"red\"", "/colour", "not a known key here; allowed are `name`" },
        { "/vias/0/dril", "0.3", "/vias/0/dril", "Did you mean `drill`?" },
        { "/unit", "\"cm\"", "/unit", "one of `mm`, `inch`; found \"cm\"" },
        { "/name", "3", "/name", "Must be a string; found 3" },
        { "/revision", "null", "/revision", "Must be a string; found null" },
        { "/name", "\"a\\u0001b\"", "/name", "control characters" },
        { "/outline", null, "", "`outline` must be given; it is missing" },
        { "/stack", null, "", "`stack` must be given; it is missing" },
        { "/stack", "[]", "/stack", "at least one row" },
        { "/copper", "{}", "/copper", "must be an array; found an object" },
        { "/copper/1", "7", "/copper/1", "Must be an object" },
        { "/nets", "\"GND\"", "/nets", "must be an array" },
        { "/materials", "[]", "/materials", "must be an object" },
        { "/nets/2/fixedArea", "\"yes\"", "/nets/2/fixedArea", "true or false; found the string \"yes\"" },
        { "/nets/-", "{ \"name\": \"\" }", "/nets/3/name", "must not be empty" },

        // numbers
        { "/stack/1/thicknessUm", "-50", "/stack/1/thicknessUm", "greater than 0; found -50" },
        { "/stack/1/thicknessUm", "0", "/stack/1/thicknessUm", "greater than 0; found 0" },
        { "/stack/1/thicknessUm", null, "/stack/1", "`thicknessUm` must be given" },
        { "/stack/1/thicknessUm", "\"NaN\"", "/stack/1/thicknessUm", "finite number; found the string \"NaN\"" },
        { "/stack/1/thicknessUm", "\"Infinity\"", "/stack/1/thicknessUm", "finite number" },
        { "/stack/1/thicknessUm", "1e999", "/stack/1/thicknessUm", "range of a double; found 1e999" },
        { "/parts/1/watts", "-0.1", "/parts/1/watts", "at least 0; found -0.1" },
        { "/parts/1/watts", "\"0.1\"", "/parts/1/watts", "finite number; found the string \"0.1\"" },
        { "/parts/0/limitCelsius", "-300", "/parts/0/limitCelsius", "above absolute zero" },

        // stack and materials
        { "/stack/0/kind", "\"maks\"", "/stack/0/kind", "Did you mean `mask`?" },
        { "/stack/2/material", "\"unobtainium\"", "/stack/2/material", "there is no \"unobtainium\"" },
        { "/stack/2/material", "\"fr5\"", "/stack/2/material", "Did you mean `fr4`?" },
        { "/stack/3/between", "\"core-y\"", "/stack/3/between", "Did you mean `core-x`?" },
        { "/stack/0/between", "\"fr4\"", "/stack/0/between", "rows of kind `copper` alone" },
        { "/stack/0/conductivity", "0.25", "/stack/0/conductivity", "Must be an object with `inPlane`, `through`; found 0.25" },
        { "/stack/3/conductivity", "{}", "/stack/3/conductivity", "finite number; found an object" },
        { "/stack/4/conductivity/through", "0", "/stack/4/conductivity/through", "greater than 0" },
        { "/stack/4/material", "\"fr4\"", "/stack/4", "At most one of `material`, `conductivity`" },
        { "/materials/core-x/inPlane", "-1", "/materials/core-x/inPlane", "greater than 0" },
        { "/stack/-", "{ \"kind\": \"copper\", \"name\": \"L2\", \"thicknessUm\": 35 }", "/stack/6/name", "copper layer must have a name of its own; \"L2\" already stands at /stack/3/name" },

        // nets
        { "/nets/1/name", "\"GND\"", "/nets/1/name", "already stands at /nets/0/name" },
        { "/nets/1/keepApartFrom/0", "\"DGND\"", "/nets/1/keepApartFrom/0", "there is no \"DGND\"" },
        { "/nets/1/keepApartFrom/0", "\"AGND\"", "/nets/1/keepApartFrom/0", "kept apart from itself" },

        // geometry
        { "/outline/type", "\"LineString\"", "/outline/type", "\"Polygon\" or \"MultiPolygon\"; found \"LineString\"" },
        { "/outline/type", null, "/outline", "`type` must be given" },
        { "/outline/coordinates", null, "/outline", "`coordinates` must be given" },
        { "/outline/coordinates", "[]", "/outline/coordinates", "at least one ring" },
        { "/outline", "{ \"type\": \"MultiPolygon\", \"coordinates\": [] }", "/outline/coordinates", "at least one polygon" },
        { "/outline/bbox", "[0,0,60,40]", "/outline/bbox", "not a known key" },
        { "/outline/coordinates/1", "[[70,0],[80,0],[80,10],[70,0]]", "/outline/coordinates/1", "hole must lie inside the outer ring" },
        { "/outline/coordinates/1", "[[50,30],[65,30],[65,35],[50,35],[50,30]]", "/outline/coordinates/1", "this one and ring 0 cross at [60," },
        { "/outline", "{ \"type\": \"MultiPolygon\", \"coordinates\": [[[[0,0],[60,0],[60,40],[0,40],[0,0]]],[[[59,1],[70,1],[70,2],[59,2],[59,1]]]] }", "/outline/coordinates", "polygons 0 and 1 overlap" },
        { "/outline", "{ \"type\": \"MultiPolygon\", \"coordinates\": [[[[0,0],[60,0],[60,40],[0,40],[0,0]]],[[[1,1],[2,1],[2,2],[1,1]]]] }", "/outline/coordinates", "polygons 0 and 1 overlap" },
        { "/copper/0/area/coordinates/0", "[[0,0],[10,10],[10,0],[0,10],[0,0]]", "/copper/0/area/coordinates/0", "must not cross itself; edge 0, from [0, 0] to [10, 10], and edge 2, from [10, 0] to [0, 10], cross at [5, 5]" },
        { "/copper/2/area/coordinates/0/0", "[[0,0],[10,10],[10,0],[0,10],[0,0]]", "/copper/2/area/coordinates/0/0", "must not cross itself" },
        { "/copper/0/area/coordinates/0", "[[0,0],[10,0],[10,10],[0,10]]", "/copper/0/area/coordinates/0", "must be closed, its last position equal to its first; found [0, 0] and [0, 10]" },
        { "/copper/0/area/coordinates/0", "[[0,0],[10,0],[0,0]]", "/copper/0/area/coordinates/0", "at least 4 positions, the last equal to the first; found 3" },
        { "/copper/0/area/coordinates/0", "[[0,0],[10,0],[5,0],[0,0]]", "/copper/0/area/coordinates/0", "enclose an area" },
        { "/copper/0/area/coordinates/0/2", "[30,30,1]", "/copper/0/area/coordinates/0/2", "two numbers [x, y]; found an array of 3" },
        { "/copper/0/area/coordinates/0/2", "[30,\"30\"]", "/copper/0/area/coordinates/0/2/1", "finite number; found the string \"30\"" },
        { "/copper/0/area/coordinates/0/2", "[30,20000]", "/copper/0/area/coordinates/0/2", "within ±10000" },
        { "/copper/0/area/coordinates/0", "5", "/copper/0/area/coordinates/0", "an array of positions" },

        // copper
        { "/copper/0/layer", null, "/copper/0", "`layer` must be given" },
        { "/copper/0/layer", "\"L4\"", "/copper/0/layer", "there is no \"L4\"" },
        { "/copper/0/net", "\"GMD\"", "/copper/0/net", "Did you mean `GND`?" },
        { "/copper/0/area", null, "/copper/0", "Exactly one of `area`, `track` must be given; found none" },
        { "/copper/1/area", Square, "/copper/1", "Exactly one of `area`, `track` must be given; found `area`, `track`" },
        { "/copper/1/track/width", "0", "/copper/1/track/width", "greater than 0" },
        { "/copper/1/track/path", "[]", "/copper/1/track/path", "at least one position" },
        { "/copper/1/clearance", "-0.1", "/copper/1/clearance", "at least 0" },

        // vias
        { "/vias/0/to", "\"L9\"", "/vias/0/to", "there is no \"L9\"" },
        { "/vias/0/net", "\"VCC\"", "/vias/0/net", "there is no \"VCC\"" },
        { "/vias/0/drill", "-0.3", "/vias/0/drill", "greater than 0" },
        { "/vias/0/platingUm", "151", "/vias/0/platingUm", "at most 150 µm, half the drill; found 151" },
        { "/vias/0/fill", "\"gold\"", "/vias/0/fill", "one of `none`, `resin`, `copper`" },
        { "/vias/0/fill", "{ \"conductivity\": 0 }", "/vias/0/fill/conductivity", "greater than 0" },
        { "/vias/0/fill", "3", "/vias/0/fill", "Must be a string; found 3" },
        { "/vias/0/at", "[]", "/vias/0/at", "at least one position" },
        { "/vias/0/at", null, "/vias/0", "Exactly one of `at`, `array` must be given; found none" },
        { "/vias/0/at/1", "[61,5]", "/vias/0/at/1", "[61, 5] is outside the outline" },
        { "/vias/0/at/1", "[52,32]", "/vias/0/at/1", "[52, 32] is outside the outline" },
        { "/vias/1/array/columns", "2.5", "/vias/1/array/columns", "whole number of at least 1; found 2.5" },
        { "/vias/1/array/rows", "0", "/vias/1/array/rows", "whole number of at least 1" },
        { "/vias/1/array/pitch/0", "0", "/vias/1/array/pitch/0", "greater than 0" },
        { "/vias/1/array/columns", "60", "/vias/1/array", "27 of the 180 are outside the outline, the first at [61, 10]" },

        // parts
        { "/parts/1/id", "\"U1\"", "/parts/1/id", "\"U1\" already stands at /parts/0/id" },
        { "/parts/1/id", null, "/parts/1", "`id` must be given" },
        { "/parts/1/side", "\"left\"", "/parts/1/side", "one of `top`, `bottom`" },
        { "/parts/1/body", null, "/parts/1", "`terminals` or a `body`" },
        { "/parts/1/body/coordinates/0", "[[70,1],[80,1],[80,9],[70,1]]", "/parts/1/body", "wholly outside the outline" },
        { "/parts/0/terminals/0/net", "\"VIN\"", "/parts/0/terminals/0/net", "there is no \"VIN\"" },
        { "/parts/0/terminals/0/pad/coordinates/0", "[[-1,1],[3,1],[3,3],[-1,3],[-1,1]]", "/parts/0/terminals/0/pad", "reaches outside the outline at [-1, 1]" },
        { "/parts/0/terminals/0/pad/coordinates/0", "[[49,29],[56,29],[56,36],[49,36],[49,29]]", "/parts/0/terminals/0/pad", "reaches outside the outline" },
        { "/parts/0/terminals/0/pad/coordinates/0", "[[50,30],[55,30],[55,35],[50,35],[50,30]]", "/parts/0/terminals/0/pad", "reaches outside the outline" },
        { "/parts/0/terminals/-", "{ \"name\": \"GND\", \"pad\": " + Square + " }", "/parts/0/terminals/1/name", "already stands at /parts/0/terminals/0/name" },

        // part networks
        { "/parts/0/network/heatAt", "\"die\"", "/parts/0/network/heatAt", "there is no \"die\"" },
        { "/parts/0/network/heatAt", null, "/parts/0/network", "`heatAt` must be given" },
        { "/parts/0/network/heatAt/case", "0.2", "/parts/0/network/heatAt", "must add up to 1; found 1.1" },
        { "/parts/0/network/heatAt", "{ \"junction\": 1.5, \"case\": -0.5 }", "/parts/0/network/heatAt/case", "at least 0" },
        { "/parts/0/network/links/0/kelvinPerWatt", "0", "/parts/0/network/links/0/kelvinPerWatt", "greater than 0" },
        { "/parts/0/network/links/0/kelvinPerWatt", "1e-4", "/parts/0/network/links/0/kelvinPerWatt", "at least 0.001 K/W" },
        { "/parts/0/network/links/0/from", "\"jnction\"", "/parts/0/network/links/0/from", "Did you mean `junction`?" },
        { "/materials/core-x/through", "1e9", "/materials/core-x/through", "at most 1000000 W/(m·K)" },
        { "/parts/0/terminals/0/side", "\"inner\"", "/parts/0/terminals/0/side", "one of `top`, `bottom`, `both`" },
        { "/parts/0/network/links/0/to", "\"R1.case\"", "/parts/0/network/links/0/to", "a node of another part (`PART.node`) cannot be named" },
        { "/parts/0/network/links/0/to", "\"terminal:VIN\"", "/parts/0/network/links/0/to", "there is no \"VIN\"" },
        { "/parts/0/network/links/1/to", "\"lid\"", "/parts/0/network/links/1/to", "there is no \"lid\"" },
        { "/parts/0/network/links/1/to", "\"junction\"", "/parts/0/network/links/1", "two different nodes" },
        { "/parts/0/network/nodes/-", "\"lid\"", "/parts/0/network/nodes/2", "\"lid\" has none" },
        { "/parts/0/network/nodes/-", "\"case\"", "/parts/0/network/nodes/2", "already stands at /parts/0/network/nodes/1" },
        { "/parts/0/body", null, "", "" },

        // probes
        { "/probes/0/layer", "\"top\"", "/probes/0/layer", "there is no \"top\"" },
        { "/probes/0/at", "[12,41]", "/probes/0/at", "[12, 41] is outside the outline" },
        { "/probes/0/at", "[12]", "/probes/0/at", "two numbers [x, y]" },
        { "/probes/-", "{ \"name\": \"TP1\", \"layer\": \"L1\", \"at\": [1,1] }", "/probes/1/name", "already stands at /probes/0/name" },
    };

    [Theory]
    [MemberData(nameof(Spoilt))]
    public void Each_fault_is_told_once_at_its_place(string edit, string? value, string pointer, string detail)
    {
        var reading = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, (edit, value)));

        if (detail.Length == 0)
        {
            Assert.Empty(reading.Faults);
            return;
        }
        var fault = Assert.Single(reading.Faults);
        Assert.Equal(pointer, fault.Pointer);
        Assert.Contains(detail, fault.Detail, StringComparison.Ordinal);
        Assert.Null(reading.Document);
        Assert.Null(reading.Board);
    }

    [Theory]
    [InlineData("/vias/0/platingUm", "0")] // an unplated hole
    [InlineData("/vias/0/platingUm", "150")] // a hole closed by its plating
    [InlineData("/vias/0/fill", "{ \"conductivity\": 3 }")]
    [InlineData("/vias/0/at/1", "[60,5]")] // a hole cut by the edge
    [InlineData("/copper/2/net", "\"GND\"")]
    [InlineData("/copper/0/area/coordinates/0", "[[-5,-5],[65,-5],[65,45],[-5,45],[-5,-5]]")] // copper is cut at the outline
    [InlineData("/copper/0/area/coordinates/0", "[[0,0],[10,0],[5,5],[10,10],[0,10],[5,5],[0,0]]")] // touches itself at a point
    [InlineData("/copper/0/area/coordinates/0", "[[0,0],[10,0],[10,10],[0,10],[0,5],[2,5],[2,6],[3,6],[3,5],[2,5],[0,5],[0,0]]")] // a hole joined by a cut
    [InlineData("/copper/1/track/path", "[[1,2]]")]
    [InlineData("/parts/1/body/coordinates/0", "[[55,1],[70,1],[70,9],[55,1]]")] // a connector over the edge
    [InlineData("/parts/0/terminals/0/pad/coordinates/0", "[[0,0],[60,0],[60,10],[0,10],[0,0]]")] // a pad up to the edge
    [InlineData("/parts/0/terminals/0/pad/coordinates/0", "[[-0.0005,0],[6,0],[6,10],[0,10],[-0.0005,0]]")] // half a micrometre
    [InlineData("/parts/0/network/heatAt", "\"junction\"")]
    [InlineData("/parts/0/network/links/2/to", "\"board\"")]
    [InlineData("/name", null)]
    [InlineData("/unit", null)]
    [InlineData("/materials/fr4", "{ \"inPlane\": 1, \"through\": 0.4 }")] // goes before the built-in one
    public void What_the_contract_allows_is_let_pass(string edit, string? value) =>
        Assert.Empty(LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, (edit, value))).Faults);

    [Fact]
    public void Ten_faults_of_both_kinds_come_in_one_answer_in_document_order()
    {
        byte[] json = Sample.Edited(
            Sample.Layout,
            ("/colour", "\"red\""),
            ("/stack/1/thicknessUm", "-50"),
            ("/stack/2/thicknessUm", null),
            ("/copper/0/area/coordinates/0", "[[0,0],[10,10],[10,0],[0,10],[0,0]]"),
            ("/copper/0/net", "\"VCC\""),
            ("/copper/1/track/width", "\"wide\""),
            ("/copper/2/area/coordinates/0/0", "[[0,0],[1,0],[1,1],[0,1]]"),
            ("/vias/0/to", "\"L9\""),
            ("/parts/0/terminals/0/pad/coordinates/0", "[[-1,1],[3,1],[3,3],[-1,3],[-1,1]]"),
            ("/parts/1/id", "\"U1\""));

        var faults = LayoutReading.ReadBoard(json).Faults;

        Assert.Equal(
            [
                "/stack/1/thicknessUm", "/stack/2", "/copper/0/area/coordinates/0", "/copper/0/net", "/copper/1/track/width",
                "/copper/2/area/coordinates/0/0", "/vias/0/to", "/parts/0/terminals/0/pad", "/parts/1/id", "/colour",
            ],
            faults.Select(fault => fault.Pointer));
    }

    [Fact]
    public void Faults_of_form_and_of_meaning_in_one_item_are_both_told()
    {
        byte[] json = Sample.Edited(Sample.Layout, ("/parts/0/watts", "\"much\""), ("/parts/0/terminals/0/net", "\"VIN\""), ("/parts/0/extra", "1"));

        Assert.Equal(["/parts/0/extra", "/parts/0/terminals/0/net", "/parts/0/watts"], LayoutReading.ReadBoard(json).Faults.Select(fault => fault.Pointer));
    }

    [Theory]
    [InlineData("/nets", "7")]
    [InlineData("/stack", "7")]
    [InlineData("/stack/1/kind", "\"coper\"")]
    [InlineData("/nets/0/fixedArea", "7")]
    [InlineData("/outline/coordinates/0/0", "[1]")]
    [InlineData("/parts/0/terminals", "7")]
    [InlineData("/parts/0/network/nodes", "7")]
    [InlineData("/materials", "7")]
    public void What_follows_from_one_fault_alone_is_not_told(string edit, string value)
    {
        var fault = Assert.Single(LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, (edit, value))).Faults);

        Assert.Equal(edit, fault.Pointer);
    }

    [Fact]
    public void A_layer_without_a_name_leaves_its_features_without_a_layer()
    {
        var faults = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/stack/1/name", null))).Faults;

        Assert.Equal(["/stack/1", "/copper/0/layer", "/copper/1/layer", "/copper/2/layer", "/vias/0/from", "/probes/0/layer"], faults.Select(fault => fault.Pointer));
    }

    [Fact]
    public void A_name_unknown_in_many_places_is_told_fifty_times()
    {
        byte[] json = Sample.Edited(Sample.Layout, ("/copper", "[" + string.Join(",", Enumerable.Repeat("{ \"layer\": \"L7\", \"track\": { \"path\": [[1,1]], \"width\": 1 } }", 500)) + "]"), ("/parts/1/id", "\"U1\""));

        var faults = LayoutReading.ReadBoard(json).Faults;

        Assert.Equal(51, faults.Count);
        Assert.EndsWith("Further places that name it are not listed.", faults[49].Detail, StringComparison.Ordinal);
        Assert.Equal("/parts/1/id", faults[50].Pointer);
    }

    [Fact]
    public void A_span_from_below_is_a_fault()
    {
        var fault = Assert.Single(LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/vias/0/from", "\"L3\""), ("/vias/0/to", "\"L1\""))).Faults);

        Assert.Equal("/vias/0", fault.Pointer);
        Assert.Contains("from \"L3\" to \"L1\", which lies above it", fault.Detail, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData("L1", "L1", "/vias/0/to")]
    [InlineData("L3", null, "/vias/0/from")]
    public void A_span_of_one_layer_joins_nothing(string from, string? to, string pointer)
    {
        var fault = Assert.Single(LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/vias/0/from", $"\"{from}\""), ("/vias/0/to", to is null ? null : $"\"{to}\""))).Faults);

        Assert.Equal(pointer, fault.Pointer);
        Assert.Contains($"would begin and end on \"{from}\"", fault.Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void A_link_to_the_board_needs_a_body()
    {
        var fault = Assert.Single(LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/parts/0/body", null), ("/parts/0/network/links/2/to", "\"board\""))).Faults);

        Assert.Equal("/parts/0/network/links/2/to", fault.Pointer);
    }

    [Fact]
    public void Terminals_and_holes_need_a_copper_row()
    {
        byte[] json = Sample.Edited(Sample.Layout, ("/stack", "[{ \"kind\": \"dielectric\", \"thicknessUm\": 1600 }]"), ("/copper", "[]"), ("/probes", "[]"), ("/vias/0", null));

        Assert.Equal(["/vias", "/parts/0/terminals"], LayoutReading.ReadBoard(json).Faults.Select(fault => fault.Pointer));
    }

    [Fact]
    public void A_layout_within_a_request_gets_pointers_into_the_request()
    {
        using var json = JsonDocument.Parse(Sample.Edited(Sample.Layout, ("/copper/0/net", "\"VCC\"")));

        Assert.Equal("/layout/copper/0/net", Assert.Single(LayoutReading.ReadBoard(json.RootElement, "/layout").Faults).Pointer);
    }

    [Fact]
    public void Pointers_escape_tilde_and_slash()
    {
        string json = Sample.Layout.Replace("\"id\": \"R1\"", "\"id\": \"R1\", \"a/b~c\": 1", StringComparison.Ordinal);

        Assert.Equal("/parts/1/a~1b~0c", Assert.Single(LayoutReading.ReadBoard(Sample.Utf8(json)).Faults).Pointer);
    }

    [Fact]
    public void A_key_given_twice_is_a_fault()
    {
        string json = Sample.Layout.Replace("\"drill\": 0.3, \"array\"", "\"drill\": 0.3, \"drill\": 0.4, \"array\"", StringComparison.Ordinal)
            .Replace("\"core-x\": {", "\"core-x\": { \"inPlane\": 1, \"through\": 1 }, \"core-x\": {", StringComparison.Ordinal);

        Assert.Equal(["/materials/core-x", "/vias/1/drill"], LayoutReading.ReadBoard(Sample.Utf8(json)).Faults.Select(fault => fault.Pointer));
    }

    [Fact]
    public void Bare_NaN_is_told_at_its_place_and_hides_nothing()
    {
        string json = Sample.Layout.Replace("\"thicknessUm\": 20 ", "\"thicknessUm\": NaN ", StringComparison.Ordinal)
            .Replace("\"watts\": 1.4", "\"watts\": -Infinity", StringComparison.Ordinal)
            .Replace("\"name\": \"sample\"", "\"name\": \"NaN \\\" Infinity\"", StringComparison.Ordinal)
            .Replace("\"side\": \"bottom\"", "\"side\": \"left\"", StringComparison.Ordinal);

        Assert.Equal(["/stack/0/thicknessUm", "/parts/0/watts", "/parts/1/side"], LayoutReading.ReadBoard(Sample.Utf8(json)).Faults.Select(fault => fault.Pointer));
    }

    [Theory]
    [InlineData("", "line 1, column 1")]
    [InlineData("{\n  \"name\": \"a\",\n  \"unit\": mm\n}", "line 3, column 11")]
    [InlineData("{ \"name\": \"a\", }", "line 1, column")]
    [InlineData("{} {}", "line 1, column 4")]
    [InlineData("{ // note\n}", "line 1, column 3")]
    [InlineData("{ \"a\": NaN, }", "line 1, column")]
    public void Malformed_JSON_is_told_with_its_place(string json, string place)
    {
        var fault = Assert.Single(LayoutReading.ReadBoard(Encoding.UTF8.GetBytes(json)).Faults);

        Assert.Equal("", fault.Pointer);
        Assert.Contains(place, fault.Detail, StringComparison.Ordinal);
    }

    [Theory]
    [InlineData(new byte[] { 0x7B, 0xFF, 0xFE, 0x7D }, "must be UTF-8")]
    [InlineData(new byte[] { 0x00, 0x01, 0x02 }, "not JSON")]
    [InlineData(new byte[] { 0x7B, 0x22, 0x5C, 0x75, 0x44, 0x38, 0x30, 0x30, 0x22, 0x3A, 0x31, 0x7D }, "surrogate")] // {"\uD800":1}
    public void Garbage_is_refused_with_a_sentence(byte[] garbage, string detail) =>
        Assert.Contains(detail, Assert.Single(LayoutReading.ReadBoard(garbage).Faults).Detail, StringComparison.Ordinal);

    [Fact]
    public void A_byte_order_mark_is_let_pass() =>
        Assert.Empty(LayoutReading.ReadBoard((byte[])[0xEF, 0xBB, 0xBF, .. Sample.Utf8(Sample.Layout)]).Faults);

    [Theory]
    [InlineData("[")]
    [InlineData("{\"outline\":")]
    public void Deep_nesting_is_refused_by_name(string opening)
    {
        string deep = string.Concat(Enumerable.Repeat(opening, 100_000));

        Assert.Contains("limit of 64 (Depth)", Assert.Single(LayoutReading.ReadBoard(Encoding.UTF8.GetBytes(deep)).Faults).Detail, StringComparison.Ordinal);
    }

    [Fact]
    public void A_polygon_of_a_million_vertices_is_refused_by_name_beside_other_faults()
    {
        string million = "[" + string.Join(",", Enumerable.Range(0, 1_000_000).Select(i => i % 2 == 0 ? "[1.25,2.5]" : "[3.5,4.75]")) + "]";
        string json = Sample.Layout.Replace("[[1,1],[30,1],[30,30],[1,30],[1,1]]", million, StringComparison.Ordinal).Replace("\"side\": \"bottom\"", "\"side\": \"left\"", StringComparison.Ordinal);

        var faults = LayoutReading.ReadBoard(Sample.Utf8(json)).Faults;

        Assert.Equal(["/copper/0/area/coordinates/0", "/parts/1/side"], faults.Select(fault => fault.Pointer));
        Assert.Contains("at most 200000 positions (limit RingVertices); found 1000000", faults[0].Detail, StringComparison.Ordinal);
    }

    public static TheoryData<LayoutLimits, string, string> Tight => new()
    {
        { new LayoutLimits { Vertices = 8 }, "/outline/coordinates/1", "(limit Vertices)" },
        { new LayoutLimits { StackRows = 5 }, "/stack", "at most 5 items (limit StackRows); found 6" },
        { new LayoutLimits { Parts = 1 }, "/parts", "(limit Parts)" },
        { new LayoutLimits { CopperFeatures = 2 }, "/copper", "(limit CopperFeatures)" },
        { new LayoutLimits { Holes = 13 }, "/vias/1", "at most 13 holes (limit Holes)" },
        { new LayoutLimits { NameLength = 5 }, "/name", "at most 5 characters (limit NameLength); found 6" },
        { new LayoutLimits { NetworkNodes = 1 }, "/parts/0/network/heatAt", "(limit NetworkNodes)" },
        { new LayoutLimits { ExtentMm = 50 }, "/outline/coordinates/0/1", "within ±50" },
    };

    [Theory]
    [MemberData(nameof(Tight))]
    public void Each_limit_is_named_where_it_is_met(LayoutLimits limits, string pointer, string detail)
    {
        var faults = LayoutReading.ReadBoard(Sample.Utf8(Sample.Layout), limits).Faults;

        Assert.Contains(faults, fault => fault.Pointer == pointer && fault.Detail.Contains(detail, StringComparison.Ordinal));
    }

    [Fact]
    public void Many_faults_are_listed_up_to_the_limit_and_counted_beyond()
    {
        byte[] json = Sample.Edited(Sample.Layout, ("/copper", "[" + string.Join(",", Enumerable.Repeat("7", 5_000)) + "]"));

        var faults = LayoutReading.ReadBoard(json).Faults;

        Assert.Equal(1_001, faults.Count);
        Assert.Equal(new Fault("", "4000 more faults were found; the first 1000 are listed."), faults[^1]);
    }

    [Fact]
    public void A_hundred_thousand_features_are_read()
    {
        var text = new StringBuilder();
        for (int i = 0; i < 100_000; i++)
            text.Append(i == 0 ? "" : ",").Append(null, $"{{\"layer\":\"L1\",\"net\":\"GND\",\"track\":{{\"path\":[[{i % 50 + 1},1],[{i % 50 + 1},{i % 37 + 1.5}]],\"width\":0.2}}}}");

        var reading = LayoutReading.ReadBoard(Sample.Edited(Sample.Layout, ("/copper", $"[{text}]")));

        Assert.Empty(reading.Faults);
        Assert.Equal(100_000, reading.Board!.Copper.Count);
    }

    [Fact]
    public void Reading_alone_tells_faults_of_form_and_of_single_values()
    {
        byte[] json = Sample.Edited(Sample.Layout, ("/stack/1/thicknessUm", "0"), ("/copper/0/net", "\"VCC\""), ("/colour", "1"));

        Assert.Equal(["/stack/1/thicknessUm", "/colour"], LayoutReader.Read(json).Faults.Select(fault => fault.Pointer));
    }
}
