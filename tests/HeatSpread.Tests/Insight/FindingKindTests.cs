using System.Globalization;
using System.Text.RegularExpressions;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Thermal;
using Xunit;
using static HeatSpread.Tests.Insight.FindingBoards;

namespace HeatSpread.Tests.Insight;

/// <summary>Each kind of finding on a board that has it and on one that has not; gains against a solve of its own of the edited board.</summary>
public class FindingKindTests(ITestOutputHelper output)
{
    private static readonly (double X, double Y)[] fourVias = [(19, 14), (21, 14), (19, 16), (21, 16)];

    [Fact]
    public void ASoundBoardHasNone() => Assert.Empty(Told(Calm).Findings);

    /// <summary>The pad on an island that four spokes join to the pour.</summary>
    [Fact]
    public void IsolatedCopperTellsItsSpokesAndTheirWatts()
    {
        var island = Calm with
        {
            Copper =
            [
                Calm.Copper[0], Clear(0, 16.4, 11.4, 23.6, 18.6), Area(0, Ground, 17, 12, 23, 18),
                Track(0, Ground, 0.4, (20, 18), (20, 19)), Track(0, Ground, 0.4, (20, 12), (20, 11)), Track(0, Ground, 0.4, (17, 15), (16, 15)), Track(0, Ground, 0.4, (23, 15), (24, 15)),
                Calm.Copper[1],
            ],
        };
        var solution = Told(island);
        var finding = Assert.Single(solution.Findings, finding => finding.Kind == FindingKind.IsolatedCopper);
        Assert.Equal((0, "L1", "1"), (finding.Part, island.Layers[finding.Layer].Name, finding.Terminal));
        (double X, double Y)[] spokes = [(20, 18.3), (20, 11.7), (16.7, 15), (23.3, 15)];
        foreach (var (x, y) in spokes) Assert.Contains(finding.Path, place => double.Hypot(place.X * 1e3 - x, place.Y * 1e3 - y) < 1);
        // the pad is the island, so what leaves it by outer copper goes through the spokes
        double through = solution.Field.Parts[0].Paths.Where(path => path.Kind == PathKind.OuterCopper).Sum(path => path.Watts);
        Assert.Equal(through, finding.Watts!.Value, 0.05 * through);
        Assert.Equal(1.6e-3, finding.WidthMeters!.Value, 0.4e-3);
        Says("The copper of U1:1 on L1 joins the rest through 4 necks, 1.6 mm of copper together: the temperature falls by 24 K there, and 0.53 W of 1.00 W goes that way. Widen them.", finding);
    }

    [Fact]
    public void AStarvedTerminalGainsWhatALargerPourGives()
    {
        var starved = Calm with { Copper = [Calm.Copper[0], Area(0, Output, 17.5, 12.5, 22.5, 17.5, clearance: 0.3), Calm.Copper[1]], Parts = [OnPad("U1", Output, 1, 18, 13, 22, 17)] };
        var solution = Told(starved);
        var finding = Assert.Single(solution.Findings, finding => finding.Kind == FindingKind.StarvedTerminal);
        Assert.Equal((0, Output), (finding.Part, finding.Net));
        GainsAreTrue(starved, solution);
        Assert.Equal(solution.Edits[0].GainKelvin, finding.GainKelvin!.Value);
        Says("U1:1 puts 1.00 W into 25 mm² of OUT on L1 and runs 130 K over the ambient. Grow OUT on L1 by 289 mm² within 10 mm of the pad: U1 cools by 70 K.", finding);
        // the pour that gives way is not taken off what is put there
        Assert.Equal(289e-6, solution.Edits[0].AddedCopperSquareMeters, 3e-6);
        var roomy = starved with { Copper = [Calm.Copper[0], Area(0, Output, 10, 5, 30, 25, clearance: 0.3), Calm.Copper[1]] };
        Assert.DoesNotContain(Told(roomy).Findings, finding => finding.Kind == FindingKind.StarvedTerminal);
    }

    [Fact]
    public void ASwitchingAreaIsNamedAndNeverSuggested()
    {
        var starved = Calm with
        {
            Nets = [Calm.Nets[0], Calm.Nets[1] with { FixedArea = true }, Calm.Nets[2]],
            Copper = [Calm.Copper[0], Area(0, Output, 17.5, 12.5, 22.5, 17.5, clearance: 0.3), Calm.Copper[1]],
            Parts = [OnPad("U1", Output, 1, 18, 13, 22, 17)],
        };
        var solution = Told(starved);
        var finding = Assert.Single(solution.Findings, finding => finding.Kind == FindingKind.SwitchingArea);
        Assert.True(finding.GainKelvin > 1);
        Assert.Contains("forbid", finding.Text, StringComparison.Ordinal);
        Says("U1:1 puts 1.00 W into 25 mm² of OUT on L1 and runs 130 K over the ambient. Grow OUT on L1 by 289 mm² within 10 mm of the pad: U1 would cool by 70 K, but the net rules forbid it.", finding);
        Assert.Empty(solution.Edits);
    }

    [Fact]
    public void ViaRelianceTellsWattsAVia()
    {
        var hanging = Calm with { Copper = [Area(0, Ground, 18, 13, 22, 17), Calm.Copper[1]], Vias = [Vias(Ground, fourVias)], Parts = [OnPad("U1", Ground, 1.5, 18, 13, 22, 17)] };
        var solution = Told(hanging);
        var finding = Assert.Single(solution.Findings, finding => finding.Kind == FindingKind.ViaReliance);
        Assert.Equal(4, finding.Path.Count);
        double carried = solution.Field.Vias.Entries[0].Watts;
        Assert.Equal(carried, finding.Watts!.Value, 0.03 * carried);
        GainsAreTrue(hanging, solution);
        Says("4 vias at U1:1 carry 1.14 W of the 1.50 W of U1, 0.28 W each. Losing one of them costs about 16 K. Add 3 vias beside them: U1 cools by 14 K.", finding);
        // what losing one costs is an estimate from the drop along the vias; against one taken away
        double told = double.Parse(Regex.Match(finding.Text, "Losing one of them costs about ([0-9.]+) K").Groups[1].Value, CultureInfo.InvariantCulture);
        double lost = Solve(hanging with { Vias = [Vias(Ground, fourVias[..3])] }).Parts[0].MaxCelsius - solution.Parts[0].MaxCelsius;
        output.WriteLine($"losing one via costs {lost:F2} K, told {told:F2} K");
        Assert.InRange(told, 0.6 * lost, 1.6 * lost);
        var many = hanging with { Vias = [Vias(Ground, [.. Enumerable.Range(0, 36).Select(i => (18.4 + 0.64 * (i % 6), 13.4 + 0.64 * (i / 6)))])] };
        Assert.DoesNotContain(Told(many).Findings, finding => finding.Kind == FindingKind.ViaReliance);
    }

    /// <summary>A via brings copper of its own, which a switching node may not have.</summary>
    [Fact]
    public void NoViasAreSuggestedToANetOfFixedArea()
    {
        var hanging = Calm with
        {
            Nets = [Calm.Nets[0] with { FixedArea = true }, Calm.Nets[1], Calm.Nets[2]],
            Copper = [Area(0, Ground, 18, 13, 22, 17), Calm.Copper[1]],
            Vias = [Vias(Ground, fourVias)],
            Parts = [OnPad("U1", Ground, 1.5, 18, 13, 22, 17)],
        };
        var solution = Told(hanging);
        Assert.Contains(solution.Findings, finding => finding.Kind == FindingKind.ViaReliance);
        Assert.Empty(solution.Edits);
    }

    [Fact]
    public void ViasThatLeadToNoCopperAreIdle()
    {
        var idle = Calm with { Copper = [Calm.Copper[0]], Vias = [Vias(Ground, fourVias[..2]) with { Drill = 0.2e-3, Plating = 20e-6 }] };
        var finding = Assert.Single(Told(idle).Findings, finding => finding.Kind == FindingKind.IdleVias);
        Assert.Equal(2, finding.Path.Count);
        double carried = Math.Abs(Solve(idle).Vias.Entries[0].Watts);
        Assert.Equal(carried, finding.Watts!.Value, 1e-6);
        Assert.True(carried < 0.02);
        Says("The 2 vias at U1:1 carry 0.019 W together: they lead to no copper that spreads the heat. Lead them to a plane.", finding);
        Assert.DoesNotContain(Told(idle with { Copper = Calm.Copper }).Findings, finding => finding.Kind == FindingKind.IdleVias);
    }

    [Fact]
    public void CrowdedSourcesTellTheirShareInKelvin()
    {
        var crowded = Calm with { Parts = [OnPad("U1", Ground, 1.2, 16, 13, 19, 16), OnPad("U2", Ground, 1.5, 20, 13, 23, 16)], Copper = [Area(0, Ground, 14, 11, 25, 18)] };
        var solution = Told(crowded);
        var finding = Assert.Single(solution.Findings, finding => finding.Kind == FindingKind.CrowdedSources && finding.Part == 0);
        double alone = Solve(crowded, SampleBoards.StillRoom with { Watts = new Dictionary<int, double> { [1] = 0 } }).Parts[0].MaxCelsius;
        double share = solution.Parts[0].MaxCelsius - alone;
        Assert.Equal(share, finding.JumpKelvin!.Value, 0.05 * share);
        Says("U2 warms U1 by 200 K; far from each other it would be about 60 K. Move the two apart.", finding);
        var switching = crowded with { Nets = [Calm.Nets[0] with { FixedArea = true }, Calm.Nets[1], Calm.Nets[2]] };
        Says("U2 warms U1 by 200 K; far from each other it would be about 60 K. They share GND, which may not grow, so moving them apart is not suggested.", Told(switching).Findings.Single(each => each.Kind == FindingKind.CrowdedSources && each.Part == 0));
        var apart = Calm with { Parts = [OnPad("U1", Ground, 0.6, 5, 13, 8, 16), OnPad("U2", Ground, 0.6, 32, 13, 35, 16)] };
        Assert.DoesNotContain(Told(apart).Findings, finding => finding.Kind == FindingKind.CrowdedSources);
    }

    [Fact]
    public void ABridgeBetweenGroundsKeptApartIsNamedAndNeverSuggested()
    {
        var parted = Calm with
        {
            Nets = [Calm.Nets[0], Calm.Nets[1], Calm.Nets[2] with { KeepApartFrom = [Ground] }],
            Copper = [Area(0, Ground, 0.5, 0.5, 15, 29.5), Area(0, Quiet, 15.5, 0.5, 39.5, 29.5)],
            Parts = [OnPad("U1", Ground, 1, 6, 12, 12, 18)],
        };
        var solution = Told(parted);
        var finding = Assert.Single(solution.Findings, finding => finding.Kind == FindingKind.QuietGroundBridge);
        Assert.All(finding.Path, place => Assert.InRange(place.X * 1e3, 14.5, 16));
        double joined = Solve(parted.With([Area(0, Ground, 15, 0.5, 15.5, 29.5)], [])).Parts[0].MaxCelsius;
        Assert.Equal(solution.Parts[0].MaxCelsius - joined, finding.GainKelvin!.Value, 0.1 * finding.GainKelvin!.Value);
        Says("GND and AGND lie beside each other on L1 along 29 mm about (15.2, 15.0) mm; the temperature falls by 37 K from one to the other. Join them there: U1 would cool by 16 K, but the net rules forbid it.", finding);
        Assert.DoesNotContain(solution.Edits, edit => edit.Kind == EditKind.CloseGap);
        Assert.DoesNotContain(Told(parted with { Nets = Calm.Nets }).Findings, finding => finding.Kind is FindingKind.QuietGroundBridge or FindingKind.PlaneCut);
    }

    /// <summary>Both layers warm alike: heat has no reason to go down where it could.</summary>
    [Fact]
    public void ViasBetweenCopperOfOneTemperatureAreIdleForAnotherReason()
    {
        var alike = Calm with
        {
            Vias = [Vias(Ground, fourVias[..2])],
            Parts = [OnPad("U1", Ground, 1, 17, 12, 23, 18), OnPad("U2", Ground, 1, 17, 12, 23, 18) with { Side = BoardSide.Bottom }],
        };
        var finding = Told(alike).Findings.First(finding => finding.Kind == FindingKind.IdleVias);
        Says("The 2 vias at U1:1 carry 0.006 W together: the copper that they lead to is about as warm as the pad. Without them it would hardly be hotter.", finding);
    }

    /// <summary>A slit through the pour, near the part: what falls across is told where the coarser grids agree that it does.</summary>
    [Fact]
    public void ACutIsToldWithItsPlaceAndItsFall()
    {
        var cut = Calm with { Copper = [.. Calm.Copper, Clear(0, 25, 4, 25.4, 26)] };
        var solution = Told(cut);
        var finding = Assert.Single(solution.Findings, finding => finding.Kind == FindingKind.PlaneCut);
        Says("A gap of 0.4 mm cuts GND on L1 along 22 mm about (25.0, 15.0) mm; the temperature falls by 16 K across the cut. Fill the gap with GND: U1 cools by 3.4 K.", finding);
        GainsAreTrue(cut, solution);
    }

    /// <summary>An arc, a bend, and a track between vias of both nets: one finding each, whatever the shape.</summary>
    [Fact]
    public void ACutOfAnyShapeIsOneFinding()
    {
        var places = Enumerable.Range(0, 21).Select(i => -1.3 + 2.6 * i / 20).Select(a => new Point((20 + 8 * Math.Cos(a)) * 1e-3, (15 + 8 * Math.Sin(a)) * 1e-3));
        var arc = new CopperFeature { Layer = 0, Net = -1, IsClear = true, Track = new([.. places], 0.3e-3) };
        var bend = new CopperFeature { Layer = 0, Net = Output, Track = new([new(14e-3, 24e-3), new(27e-3, 24e-3), new(27e-3, 6e-3)], 0.2e-3), Clearance = 0.2e-3 };
        var straight = Track(0, Output, 0.2, (26, 4), (26, 26)) with { Clearance = 0.2e-3 };
        Assert.Equal(20.8e-3, Only(Calm with { Copper = [.. Calm.Copper, arc] }).LengthMeters!.Value, 1.5e-3);
        Assert.Equal(31e-3, Only(Calm with { Copper = [.. Calm.Copper, bend] }).LengthMeters!.Value, 2e-3);
        Assert.Equal(22e-3, Only(Calm with { Copper = [.. Calm.Copper, straight], Vias = [Vias(Output, (26, 10), (26, 20)), Vias(Ground, (26.9, 15), (25.1, 15))] }).LengthMeters!.Value, 1e-3);

        Finding Only(Board board) => Assert.Single(Told(board).Findings, finding => finding.Kind == FindingKind.PlaneCut);
    }

    /// <summary>A row of vias whose clearances meet cuts both layers; where they leave copper between them, nothing is cut.</summary>
    [Fact]
    public void ViasWhoseClearancesMeetCutAPlane()
    {
        Board Row(double step) => Calm with { Vias = [Vias(Output, [.. Enumerable.Range(0, (int)(24 / step)).Select(i => (25.0, 3 + step * i))]) with { Clearance = 0.3e-3 }] };
        var told = Told(Row(0.8));
        var cuts = told.Findings.Where(finding => finding.Kind == FindingKind.PlaneCut).ToList();
        Assert.Equal([0, 1], cuts.Select(cut => cut.Layer).Order());
        // The gain is that of the board with the clearances that the sentence tells.
        var tighter = Row(0.8) with { Vias = [Row(0.8).Vias[0] with { Clearance = 0.175e-3 }] };
        double gain = told.Parts[0].MaxCelsius - Solve(tighter).Parts[0].MaxCelsius;
        Assert.All(cuts, cut => Assert.True(cut.Checked && Math.Abs(cut.GainKelvin!.Value - gain) <= 1e-3 * gain, $"{cut.GainKelvin} for {gain}"));
        Says(
            "The clearances of OUT vias meet and cut GND on L1 along 23 mm about (25.0, 14.8) mm; the temperature falls by 14 K across the cut. Set the vias farther apart, so that copper fits between them. With clearances of 0.17 mm copper would fit between them as they stand: U1 cools by 3 K.",
            cuts.Single(cut => cut.Layer == 0));
        Assert.DoesNotContain(Told(Row(2)).Findings, finding => finding.Kind == FindingKind.PlaneCut);
        // Pads that all but meet leave no room, whatever their clearances: the cut is told without a gain.
        var crowded = Told(Row(0.6)).Findings.Where(finding => finding.Kind == FindingKind.PlaneCut).ToList();
        Assert.Equal([0, 1], crowded.Select(cut => cut.Layer).Order());
        Assert.All(crowded, cut => Assert.Null(cut.GainKelvin));
    }

    /// <summary>Two rows in one group of vias, one on each side of the part: each cut is told what mending it alone gains.</summary>
    [Fact]
    public void CutsByDifferentViasOfOneGroupHaveGainsOfTheirOwn()
    {
        ViaGroup Row(double x, double clearance) => Vias(Output, [.. Enumerable.Range(0, 30).Select(i => (x, 3 + 0.8 * i))]) with { Clearance = clearance };
        ViaGroup left = Row(14, 0.3e-3), right = Row(25, 0.3e-3);
        var board = Calm with { Vias = [left with { At = [.. left.At, .. right.At] }] };
        var told = Told(board);
        var cuts = told.Findings.Where(finding => finding.Kind == FindingKind.PlaneCut && finding.Layer == 0).OrderBy(cut => cut.Path![0].X).ToList();
        Assert.Equal(2, cuts.Count);
        foreach (var (cut, mended) in cuts.Zip((ViaGroup[][])[[Row(14, 0.175e-3), right], [left, Row(25, 0.175e-3)]]))
        {
            double gain = told.Parts[0].MaxCelsius - Solve(board with { Vias = mended }).Parts[0].MaxCelsius;
            Assert.True(cut.Checked && Math.Abs(cut.GainKelvin!.Value - gain) <= 2e-3 * gain, $"{cut.GainKelvin} for {gain}");
        }
    }

    /// <summary>Blind vias above and below each other cut layers of their own, and are not the same vias.</summary>
    [Fact]
    public void ViasOneAboveTheOtherAreToldApart()
    {
        var (board, cut) = Stacked(0.8);
        TighterClearances upper = TighterClearances.Of(board, cut(0))!, lower = TighterClearances.Of(board, cut(3))!;
        Assert.False(upper.AreOf(lower));
        Assert.True(upper.AreOf(TighterClearances.Of(board, cut(1))!));
        Assert.Equal([0, 1], upper.Change.Layers.Order());
        Assert.Equal([2, 3], lower.Change.Layers.Order());
        Assert.Equal([0.175e-3, 0.4e-3], upper.Change.Board.Vias.Select(group => Math.Round(group.Clearance, 9)));
        Assert.Equal([0.3e-3, 0.175e-3], lower.Change.Board.Vias.Select(group => Math.Round(group.Clearance, 9)));
    }

    /// <summary>Two holes that all but coincide leave no copper between them; that between all others counts. Vias stay in their places, and all of them.</summary>
    [Fact]
    public void HolesThatAllButCoincideDoNotHideTheRoomBesideThem()
    {
        var (board, cut) = Stacked(0.8);
        var crowded = board with { Vias = [board.Vias[0] with { At = [.. board.Vias[0].At, board.Vias[0].At[^1] with { X = 25.005e-3 }, new(5e-3, 5e-3), new(5e-3, 5e-3)] }, board.Vias[1]] };
        var tighter = TighterClearances.Of(crowded, cut(0))!;
        Assert.Equal(0.175e-3, tighter.ClearanceMeters, 5e-6);
        Assert.Equal([31, 2, 30], tighter.Change.Board.Vias.Select(group => group.At.Count));
        Assert.Null(TighterClearances.Of(Stacked(0.6).Board, cut(0)));
    }

    private static (Board Board, Func<int, PlaneCut> Cut) Stacked(double step)
    {
        ViaGroup row = Vias(Output, [.. Enumerable.Range(0, 30).Select(i => (25.0, 3 + step * i))]);
        var board = Calm with { Vias = [row with { ToLayer = 1, Clearance = 0.3e-3 }, row with { FromLayer = 2, ToLayer = 3, Clearance = 0.4e-3 }] };
        return (board, layer => new(layer, Ground, Ground, Output, [new(25e-3, 3e-3), new(25e-3, 26e-3)], 0.9e-3, 10, []) { ByHoles = true });
    }

    private static void Says(string text, Finding finding) => Assert.Equal(text, finding.Text);

    private BoardSolution Told(Board board)
    {
        var solution = Analyse(board);
        foreach (var finding in solution.Findings) output.WriteLine($"{finding.Kind}: {finding.Text}");
        return solution;
    }

    private static void GainsAreTrue(Board board, BoardSolution solution)
    {
        Assert.NotEmpty(solution.Edits);
        foreach (var edit in solution.Edits)
        {
            double gain = solution.Parts[edit.Part].MaxCelsius - Solve(edit.Edit.Apply(board)).Parts[edit.Part].MaxCelsius;
            Assert.Equal(gain, edit.GainKelvin, 2e-3 * gain);
        }
    }
}
