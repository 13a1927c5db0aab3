using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Revisions;
using Xunit;
using static HeatSpread.Tests.Thermal.Revisions.RevisionBoards;

namespace HeatSpread.Tests.Thermal.Revisions;

/// <summary>Whatever differs between two revisions, the entries of the ledger add up to the difference of the readings.</summary>
public class RevisionLedgerTests
{
    /// <summary>K that a sum may miss; the issue asks for 1e-3.</summary>
    private const double Allowed = 1e-5;

    private static readonly Conditions air = Room with { Top = new StillAirSurface(AirOrientation.FaceUp, 0.9, 25), Bottom = new StillAirSurface(AirOrientation.FaceDown, 0.9, 25) };

    [Fact]
    public void TheSameBoardTwiceHasNoEntry() => Assert.All(Sound(Solve(Whole), Solve(Whole)), change => Assert.All(change.Kelvin, kelvin => Assert.Equal(0, kelvin, 1e-6)));

    [Fact]
    public void ACutIsOnePieceOfThePoursNetAndTheTraceAnother()
    {
        var changes = Sound(Solve(Whole), Solve(Cut));
        var largest = changes.MaxBy(change => Math.Abs(change.Kelvin[0]))!;
        Assert.Equal((ChangeKind.CopperRemoved, "L1", "GND"), (largest.Kind, largest.Name, largest.Net));
        Assert.InRange(largest.Area, 13.5e-6, 14.5e-6); // 1 mm wide, 14 mm of pour
        var trace = changes.Where(change => change.Kind == ChangeKind.CopperAdded && change.Net == "FB").MaxBy(change => change.Area)!;
        Assert.True(trace.Kelvin[0] < 0 && -trace.Kelvin[0] < 0.1 * largest.Kelvin[0], "the trace itself helps a little");
    }

    [Fact]
    public void ViasThatGoAreNamedAndMakeItHotter()
    {
        var fewer = Whole with { Vias = [Whole.Vias[0] with { At = [.. Whole.Vias[0].At.Take(1)] }] };
        var change = Assert.Single(Sound(Solve(Whole), Solve(fewer)), change => change.Kind == ChangeKind.ViasRemoved);
        Assert.Equal(3, change.At.Count);
        Assert.Equal("GND", change.Net);
        Assert.True(change.Kelvin[0] > 0);
        var added = Assert.Single(Sound(Solve(fewer), Solve(Whole)), other => other.Kind == ChangeKind.ViasAdded);
        Assert.True(added.Kelvin[0] < 0);
    }

    [Fact]
    public void OtherWattsAreTheirShareAlone()
    {
        var more = Sound(Solve(Whole), Solve(Whole, Room with { Watts = new Dictionary<int, double> { [1] = 1.4 } }));
        var change = Assert.Single(more, change => change.Kelvin[0] != 0);
        Assert.Equal((ChangeKind.WattsChanged, "R1"), (change.Kind, change.Name));
        Assert.Equal((0.4, 1.4), change.Value);
    }

    [Fact]
    public void RowsOfTheStackAreToldOneByOne()
    {
        var thin = Whole with { Rows = [Whole.Rows[0] with { Thickness = 35e-6 }, Whole.Rows[1], Whole.Rows[2], Whole.Rows[3] with { Thickness = 1.5e-3, Fill = new(0.7, 0.25) }, .. Whole.Rows.Skip(4)] };
        var changes = Sound(Solve(Whole), Solve(thin));
        Assert.Equal(["L1", "core"], changes.Where(change => change.Kind == ChangeKind.StackChanged && change.Name is not null).Select(change => change.Name));
        Assert.All(changes.Where(change => change.Kind != ChangeKind.StackChanged), change => Assert.Equal(0, change.Kelvin[0], 1e-6));
    }

    /// <summary>An inner layer that only one of the two has, with its vias.</summary>
    [Fact]
    public void AStackWithFewerLayersAddsUp()
    {
        StackRow[] rows = [.. Whole.Rows.Where(row => row.Name is not ("L2" or "prepreg"))];
        var twoLayers = Whole with
        {
            Rows = rows,
            Layers = [new("L1", 0), new("L3", 2)],
            Copper = [.. Whole.Copper.Where(feature => feature.Layer != 1).Select(feature => feature with { Layer = feature.Layer / 2 })],
            Vias = [Whole.Vias[0] with { ToLayer = 1 }],
        };
        Assert.Contains(Sound(Solve(Whole), Solve(twoLayers)), change => change.Kind == ChangeKind.StackChanged && change.Kelvin[0] > 0);
        Assert.Contains(Sound(Solve(twoLayers), Solve(Whole)), change => change.Kind == ChangeKind.StackChanged && change.Kelvin[0] < 0);
    }

    [Fact]
    public void FilmsContactsAndAmbientAreToldApart()
    {
        var other = Room with
        {
            AmbientCelsius = 40,
            Top = new FilmSurface(14),
            EdgesFilm = 2,
            Contacts = [new("boss", BoardSide.Bottom, Rectangle(18, 2, 21, 5), 1500, 30)],
        };
        var changes = Sound(Solve(Whole), Solve(Whole, other));
        Assert.Equal(["ambient", "top", "edges", "contacts"], changes.Where(change => change.Kelvin[0] != 0).Select(change => change.Name));
        Assert.Equal(15, changes[0].Kelvin[0], 1e-4); // every way out leads to the ambient, so all of the board follows it
    }

    /// <summary>The film's coefficient differs with the temperature of the two, but the film is the same: it has no entry.</summary>
    [Fact]
    public void AnUnchangedFilmThatDependsOnTemperatureHasNoEntry()
    {
        var changes = Sound(Solve(Whole, air), Solve(Cut, air));
        Assert.DoesNotContain(changes, change => change.Kind == ChangeKind.SurfacesChanged && Math.Abs(change.Kelvin[0]) > 1e-6);
        Assert.True(changes.Sum(change => change.Kelvin[0]) > 1);
    }

    [Fact]
    public void FilmsThatDependOnTemperatureAddUpAtOtherAmbientsAndAgainstGivenFilms()
    {
        var warm = air with { AmbientCelsius = 45, Top = new StillAirSurface(AirOrientation.FaceUp, 0.3, 45), Bottom = new StillAirSurface(AirOrientation.FaceDown, 0.9, 45) };
        Assert.Equal(["ambient", "top"], Sound(Solve(Whole, air), Solve(Whole, warm)).Where(change => Math.Abs(change.Kelvin[0]) > 1e-4).Select(change => change.Name));
        Sound(Solve(Whole, air), Solve(Cut, Room));
        Sound(Solve(Whole), Solve(Cut, warm));
    }

    [Fact]
    public void APartsNetworkAndItsPlaceAreItsOwn()
    {
        var part = Whole.Parts[0];
        var better = Whole with { Parts = [part with { Network = part.Network! with { Links = [new(0, PartLinkTarget.Terminal, 0, 2), .. part.Network.Links.Skip(1)] } }, Whole.Parts[1]] };
        var changes = Sound(Solve(Whole), Solve(better));
        Assert.Equal((ChangeKind.PartChanged, "U1"), Assert.Single(changes.Where(change => change.Kelvin[0] != 0).Select(change => (change.Kind, change.Name!))));
        var split = Whole with { Parts = [part with { Network = new(["junction", "tab"], [new(0, PartLinkTarget.Node, 1, 3), new(1, PartLinkTarget.Terminal, 0, 1)], [1, 0]) }, Whole.Parts[1]] };
        Sound(Solve(Whole), Solve(split));
        Sound(Solve(split), Solve(Whole));
        var moved = Whole with { Parts = [part, Whole.Parts[1] with { Terminals = [new("1", 1, Rectangle(17, 9, 18.2, 11)), new("2", 1, Rectangle(20, 9, 21.3, 11))] }] };
        Sound(Solve(Whole), Solve(moved));
        Sound(Solve(Whole), Solve(Whole with { Parts = [part] }), parts: 1);
        Sound(Solve(Whole with { Parts = [part] }), Solve(Whole), parts: 1);
    }

    /// <summary>The loss in the copper depends on its temperature, and so differs with everything else.</summary>
    [Fact]
    public void CurrentsInTheCopperAddUp()
    {
        Conditions Load(double amperes) => air with { Currents = [new DirectCurrent("load", 1, amperes, [new(0, 1)], [new(1, 1)])] };
        Assert.Contains(Sound(Solve(Whole, Load(10)), Solve(Cut, Load(20))), change => change.Kind == ChangeKind.WattsChanged && change.Name is null && change.Kelvin[0] > 0);
        Sound(Solve(Whole), Solve(Cut, Load(10)));
    }

    /// <summary>A converter's losses are hotter parts' watts.</summary>
    [Fact]
    public void LossesOfAConverterAddUp()
    {
        var conditions = air with
        {
            Converter = new Converter
            {
                Topology = ConverterTopology.Buck,
                Part = 0,
                Inductor = 1,
                InputVolts = 12,
                OutputVolts = 5,
                OutputAmperes = 3,
                SwitchingHertz = 4e5,
                Winding = new WarmResistance(0.05, 0.0039, 20),
                Efficiency = 0.9,
            },
        };
        Assert.Contains(Sound(Solve(Whole, conditions), Solve(Cut, conditions)), change => change.Kind == ChangeKind.WattsChanged && change.Name == "R1" && change.Kelvin[1] != 0);
    }

    /// <summary>A board that lost a corner and gained a tongue, on the grid of both.</summary>
    [Fact]
    public void OtherOutlinesAddUpOnTheGridOfBoth()
    {
        var box = new Box(0, 0, 28e-3, 16e-3);
        Region L(params (double X, double Y)[] ring) => new([new Polygon([.. ring.Select(p => new Point(p.X * 1e-3, p.Y * 1e-3))])]);
        var other = Whole with { Outline = L((0, 0), (28, 0), (28, 7.3), (24, 7.3), (24, 12), (20.2, 16), (0, 16)) };
        foreach (var conditions in (Conditions[])[Room, air])
        {
            var changes = Sound(Solve(Whole, conditions, box), Solve(other, conditions, box));
            Assert.Contains(changes, change => change.Kind == ChangeKind.OutlineChanged && change.Kelvin[0] != 0);
            Sound(Solve(other, conditions, box), Solve(Whole, conditions, box));
        }
    }

    [Fact]
    public void EverythingAtOnceAddsUp()
    {
        var box = new Box(0, 0, 26e-3, 16e-3);
        var other = Cut with
        {
            Outline = Rectangle(0, 0, 26, 15.5),
            Rows = [Whole.Rows[0] with { Thickness = 70e-6 }, .. Whole.Rows.Skip(1)],
            Vias = [Whole.Vias[0] with { At = [.. Whole.Vias[0].At.Take(2)] }, Vias(1, [(16.5, 10.2), (18.3, 10.2)])],
            Copper = [.. Cut.Copper, Area(2, 1, 16, 9, 25, 12, 0.3)],
            Parts = [Whole.Parts[0], Whole.Parts[1] with { Watts = 0.9 }],
        };
        Sound(Solve(Whole, Room, box), Solve(other, air with { AmbientCelsius = 30 }, box));
        Sound(Solve(other, air with { AmbientCelsius = 30 }, box), Solve(Whole, Room, box));
    }

    /// <summary>Laminate that conducts less and mask that conducts more when hot: what the same materials do at the other temperatures is one entry, and the sums hold.</summary>
    [Fact]
    public void ConductivitiesThatDependOnTemperatureAddUp()
    {
        var warm = Warm(Whole, -0.004, 0.003);
        foreach (var conditions in (Conditions[])[Room, air])
        {
            var changes = Sound(Solve(warm, conditions), Solve(Warm(Cut, -0.004, 0.003), conditions), allowed: Warmly);
            var change = Assert.Single(changes, change => change.Kind == ChangeKind.ConductivityChanged);
            Assert.True(Math.Abs(change.Kelvin[0]) > 20 * Warmly, "what is not linear is more than what a sum may miss");
            Assert.Equal(ChangeKind.CopperRemoved, changes.MaxBy(each => each.Kelvin[0])!.Kind);
            Assert.DoesNotContain(changes, each => each.Kind == ChangeKind.StackChanged && each.Kelvin[0] != 0);
        }
        Assert.All(Sound(Solve(warm), Solve(warm), allowed: Warmly), change => Assert.Equal(0, change.Kelvin[0], Warmly));
    }

    /// <summary>Other laws of the materials, other films, another ambient, watts and outline, there and back.</summary>
    [Fact]
    public void OtherConductivitiesAddUpWithEverythingElse()
    {
        var box = new Box(0, 0, 26e-3, 16e-3);
        var other = Warm(Cut with { Outline = Rectangle(0, 0, 26, 15.5), Parts = [Whole.Parts[0], Whole.Parts[1] with { Watts = 0.9 }] }, 0.002, -0.003);
        SolvedNetwork before = Solve(Warm(Whole, -0.004, 0.003), Room, box), after = Solve(other, air with { AmbientCelsius = 40 }, box), plain = Solve(Whole, air, box);
        Assert.Contains(Sound(before, after, allowed: Warmly), change => change.Kind == ChangeKind.StackChanged && change.Kelvin[0] != 0);
        Sound(after, before, allowed: Warmly);
        Sound(plain, after, allowed: Warmly);
        Sound(after, plain, allowed: Warmly);
    }

    /// <summary>K that a sum may miss where conductivities depend on temperature: they are found to a millionth.</summary>
    private const double Warmly = 2e-4;

    private static Board Warm(Board board, double laminatePerKelvin, double maskPerKelvin)
    {
        ConductivityCurve Line(StackRowKind kind) => ConductivityCurve.Line(kind == StackRowKind.Mask ? maskPerKelvin : laminatePerKelvin, 25);
        return board with { Rows = [.. board.Rows.Select(row => row with { FillCurve = Line(row.Kind), CopperCurve = row.Kind == StackRowKind.Copper ? ConductivityCurve.Line(-0.0005, 25) : null })] };
    }

    /// <summary>Splits two boards' readings and checks the sums.</summary>
    private static IReadOnlyList<RevisionChange> Sound(SolvedNetwork baseline, SolvedNetwork candidate, int? parts = null, double allowed = Allowed)
    {
        int count = parts ?? baseline.Board.Parts.Count;
        LinearReading[] readings = [.. Enumerable.Range(0, count).Select(baseline.HottestOf)];
        var changes = RevisionLedger.Split(baseline, candidate, readings, TestContext.Current.CancellationToken);
        for (int part = 0; part < count; part++)
        {
            if (readings[part].Unknowns[0] >= candidate.Network.Grid.CellCount + candidate.Network.Grid.NodeCount) continue;
            double expected = Later(baseline, candidate, readings[part]) - baseline.Conditions.AmbientCelsius - baseline.RiseOf(readings[part]);
            if (double.IsNaN(expected)) continue;
            Assert.Equal(expected, changes.Sum(change => change.Kelvin[part]), allowed);
        }
        return changes;
    }

    /// <summary>°C of the candidate where the baseline was read; NaN where the candidate has no such place.</summary>
    private static double Later(SolvedNetwork baseline, SolvedNetwork candidate, LinearReading reading)
    {
        int unknown = reading.Unknowns[0], cells = baseline.Network.Grid.CellCount, plane = baseline.Network.PlaneCount;
        if (unknown < cells)
        {
            int sheet = unknown / plane, row = baseline.Network.Stack.Sheets[sheet].Row;
            int layer = baseline.Network.Stack.Sheets[sheet].Layer;
            string name = baseline.Board.Layers[layer].Name;
            var other = candidate.Board.Layers.FirstOrDefault(each => each.Name == name);
            return other is null ? double.NaN : candidate.Conditions.AmbientCelsius + candidate.Rise[candidate.UnknownOf(other.Row, unknown % plane)];
        }
        for (int part = 0; part < baseline.Board.Parts.Count; part++)
        {
            int node = unknown - cells - baseline.Network.FirstNode[part];
            if (node < 0 || node >= (baseline.Board.Parts[part].Network?.Nodes.Count ?? 0)) continue;
            string name = baseline.Board.Parts[part].Network!.Nodes[node];
            int index = candidate.Board.Parts.ToList().FindIndex(each => each.Id == baseline.Board.Parts[part].Id);
            int place = candidate.Board.Parts[index].Network!.Nodes.ToList().IndexOf(name);
            return place < 0 ? double.NaN : candidate.Conditions.AmbientCelsius + candidate.Rise[candidate.Parts.Unknown(index, place)];
        }
        return double.NaN;
    }
}
