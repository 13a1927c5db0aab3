using HeatSpread.Boards;
using HeatSpread.Insight.Comparison;
using HeatSpread.Thermal;
using Xunit;
using static HeatSpread.Tests.Thermal.Revisions.RevisionBoards;

namespace HeatSpread.Tests.Insight.Comparison;

/// <summary>What the ledger says, whole sentences. All boards on one grid, so that other outlines have room.</summary>
public class LedgerWordsTests
{
    private static readonly Lazy<SolvedNetwork> whole = new(() => On(Whole));

    [Fact]
    public void CopperIsToldByNetLayerAndPlace() => Assert.Equal(
        [
            "GND copper taken from L1 (14 mm² between (8.8, 1) and (9.8, 15) mm) makes U1 0.8 K hotter.",
            "FB copper put on L1 (3 mm² between (9.2, 0) and (9.4, 16) mm) alters U1 by less than the grid can tell (0.2 K).",
        ],
        Texts(On(Cut), error: 0.2)[..2]);

    /// <summary>The error that counts is that of the part in question: another part's does not silence it, and its own does.</summary>
    [Fact]
    public void NothingIsClaimedBelowThePartsOwnError()
    {
        var errors = new Dictionary<string, double> { ["U1"] = 0.2, ["R1"] = 30 };
        var ledgers = BoardComparison.Of(whole.Value, On(Cut), ["U1", "R1"], errors, TestContext.Current.CancellationToken).Ledger;
        Assert.Contains("makes U1 0.8 K hotter", ledgers[0].Entries[0].Text, StringComparison.Ordinal);
        Assert.All(ledgers[1].Entries, entry => Assert.EndsWith(" R1 by less than the grid can tell (30 K).", entry.Text, StringComparison.Ordinal));
        Assert.All(Texts(On(Cut), error: 3), text => Assert.EndsWith(" U1 by less than the grid can tell (3 K).", text, StringComparison.Ordinal));
    }

    [Fact]
    public void ViasAreCounted()
    {
        Assert.Equal(["3 vias of GND taken away around (4.8, 6.0) mm make U1 1.0 K hotter."], Texts(On(WithVias(1)), error: 0.2));
        Assert.Equal(["One via of GND taken away at (5.1, 6.4) mm makes U1 0.3 K hotter."], Texts(On(WithVias(3)), error: 0.1));
        var fewer = On(WithVias(3));
        Assert.Equal("One via of GND put in at (5.1, 6.4) mm makes U1 0.3 K cooler.", BoardComparison.Of(fewer, whole.Value, ["U1"], Errors(0.1), TestContext.Current.CancellationToken).Ledger[0].Entries[0].Text);

        static Board WithVias(int count) => Whole with { Vias = [Whole.Vias[0] with { At = [.. Whole.Vias[0].At.Take(count)] }] };
    }

    [Fact]
    public void WattsAndCurrentsTellBothNumbers()
    {
        Assert.Equal(["R1 makes 1.4 W instead of 0.4 W, which makes U1 84 K hotter."], Texts(On(Whole, Room with { Watts = new Dictionary<int, double> { [1] = 1.4 } }), error: 0.2));
        Assert.Equal(
            ["The currents in the copper make 0.072 W instead of 0 W, which makes U1 6.1 K hotter."],
            Texts(On(Whole, Room with { Currents = [new DirectCurrent("load", 1, 12, [new(0, 1)], [new(1, 1)])] }), error: 0.2));
    }

    [Fact]
    public void SurroundingsTellWhatTheyAreNow()
    {
        var other = Room with { AmbientCelsius = 40, Top = new FilmSurface(14), EdgesFilm = 2, Contacts = [new("boss", BoardSide.Bottom, Rectangle(18, 2, 21, 5), 1500, 30)] };
        string[] texts = Texts(On(Whole, other), error: 0.01);
        Assert.Contains("The ambient is at 40 °C instead of 25 °C, which makes U1 15 K hotter.", texts);
        Assert.Contains(texts, text => text.StartsWith("The film of the top is 14 W/(m²·K) instead of 10, which makes U1 ", StringComparison.Ordinal));
        Assert.Contains(texts, text => text.StartsWith("The film of the edges is 2 W/(m²·K) instead of 8, which makes U1 ", StringComparison.Ordinal));
        Assert.Contains(texts, text => text.StartsWith("The contacts to heat sinks changed, which makes U1 ", StringComparison.Ordinal));
        Assert.StartsWith("The cooling of the top changed, which makes U1 ", Texts(On(Whole, Room with { Top = new StillAirSurface(AirOrientation.FaceUp, 0.9, 25) }), error: 0.01)[0], StringComparison.Ordinal);
    }

    [Fact]
    public void RowsOfTheStackTellTheirThickness()
    {
        var thin = Whole with { Rows = [Whole.Rows[0] with { Thickness = 35e-6 }, Whole.Rows[1], Whole.Rows[2], Whole.Rows[3] with { Fill = new(0.7, 0.25) }, .. Whole.Rows.Skip(4)] };
        string[] texts = Texts(On(thin), error: 0.01);
        Assert.StartsWith("L1 is 35 µm thick instead of 50 µm, which makes U1 ", texts[0], StringComparison.Ordinal);
        Assert.StartsWith("Row core of the stack changed, which makes U1 ", texts[1], StringComparison.Ordinal);
    }

    [Fact]
    public void PartsAndOutlineAreNamed()
    {
        var part = Whole.Parts[0];
        var better = Whole with { Parts = [part with { Network = part.Network! with { Links = [new(0, PartLinkTarget.Terminal, 0, 2), .. part.Network.Links.Skip(1)] } }, Whole.Parts[1]] };
        Assert.StartsWith("U1 itself changed (its pads, its place or its network), which makes U1 ", Texts(On(better), error: 0.1)[0], StringComparison.Ordinal);
        Assert.Equal(["The outline of the board changed, which makes U1 5.6 K cooler."], Texts(On(Whole with { Outline = Rectangle(0, 0, 26, 16) }), error: 0.2));
    }

    private static SolvedNetwork On(Board board, Conditions? conditions = null) => Solve(board, conditions, new Box(0, 0, 26e-3, 16e-3));

    private static Dictionary<string, double> Errors(double error) => new() { ["U1"] = error };

    private static string[] Texts(SolvedNetwork candidate, double error) =>
        [.. BoardComparison.Of(whole.Value, candidate, ["U1"], Errors(error), TestContext.Current.CancellationToken).Ledger[0].Entries.Select(entry => entry.Text)];
}
