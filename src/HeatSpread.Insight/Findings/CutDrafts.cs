using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>The findings <c>planeCut</c> and <c>quietGroundBridge</c>, of the gaps in copper.</summary>
internal static class CutDrafts
{
    /// <summary>A cut that no part would feel closed, K, is none.</summary>
    private const double LeastGain = 0.03;

    /// <summary>As <see cref="LeastGain"/>, as a share of the hottest part's rise.</summary>
    private const double LeastShare = 0.0005;

    /// <summary>A bridge between nets that are to be kept apart is spoken of from this gain on, K, and this share of the hottest part's rise.</summary>
    private const double LeastBridgeGain = 1, LeastBridgeShare = 0.05;

    /// <summary>Most cuts that are looked into, greatest jump first.</summary>
    private const int Most = 40;

    /// <summary>The grid of trials is not believed to show less than this share of a jump.</summary>
    private const double LeastShown = 0.1;

    public static IEnumerable<Draft> Find(Board board, GridSolution answer, GridSolution trial, GridErrors errors, ParallelOptions options)
    {
        PlaneCut[] cuts = [.. PlaneCuts.Find(board, answer, options).Take(Most)];
        var fills = new BoardEdit?[cuts.Length];
        Parallel.For(0, cuts.Length, options, i => fills[i] = cuts[i].ByHoles ? null : GapFill.Of(board, cuts[i], answer.Field.Grid, options.CancellationToken));
        return cuts.Zip(fills).Where(pair => pair.First.ByHoles || pair.Second is not null).Select(pair => pair.First.ByHoles ? OfHoles(board, pair.First, ErrorOfJump(board, pair.First, answer, errors)) : DraftOf(board, pair.First, pair.Second!, ErrorOfJump(board, pair.First, answer, errors)) with { ShownByTrials = ShownBy(trial, board, pair.First, answer) });
    }

    private static double ErrorOfJump(Board board, PlaneCut cut, GridSolution answer, GridErrors errors) =>
        errors.OfJump(answer.Field, JumpOf(board, cut, cut.Links.MaxBy(link => Math.Abs(link.JumpKelvin)), answer));

    /// <summary>
    /// Share of the jump that the grid of trials shows: gaps much narrower than its cells leak there, so that closing them gains less than on the answer's grid. The heat that flows once a gap is closed goes
    /// with the jump, and so does the gain.
    /// </summary>
    private static double ShownBy(GridSolution trial, Board board, PlaneCut cut, GridSolution answer)
    {
        double shown = 0, all = 0;
        foreach (var link in cut.Links.Where(link => Math.Abs(link.JumpKelvin) >= PlaneCuts.EndsBelow * PlaneCuts.LeastJump))
        {
            var jump = JumpOf(board, cut, link, answer);
            double sign = -Math.Sign(link.JumpKelvin);
            shown += sign * jump.In(trial.Field, trial.Field.Grid);
            all += sign * jump.In(answer.Field, trial.Field.Grid);
        }
        return all > 0 ? Math.Clamp(shown / all, LeastShown, 1) : 1;
    }

    private static GapJump JumpOf(Board board, PlaneCut cut, GapLink link, GridSolution answer) =>
        new(board.Layers[cut.Layer].Row, link.Middle(answer.Field.Grid), link.AlongX, cut.WidthMeters);

    /// <summary>No copper fits between vias whose clearances meet: the cut is told without an edit, and what clearances would gain that let copper pass.</summary>
    private static Draft OfHoles(Board board, PlaneCut cut, double error)
    {
        string where = $"{Words.Net(board, cut.Net)} on {board.Layers[cut.Layer].Name} along {Words.Millimetres(cut.LengthMeters)} about {Words.At(GapPath.Halfway(cut.Path))}";
        string text = $"The clearances of {board.Nets[cut.CutBy].Name} vias meet and cut {where}; {Falls(cut, error)} across the cut. Set the vias farther apart, so that copper fits between them.";
        return new(Found(cut, FindingKind.PlaneCut, text), []) { Tighter = TighterClearances.Of(board, cut) };
    }

    private static string Falls(PlaneCut cut, double error) => cut.JumpKelvin < error ? "the temperature falls" : $"the temperature falls by {Words.Kelvin(cut.JumpKelvin, error)}";

    private static Finding Found(PlaneCut cut, FindingKind kind, string text) => new()
    {
        Kind = kind,
        Layer = cut.Layer,
        Net = cut.Net,
        CutBy = cut.MustStay ? cut.Other : cut.CutBy,
        Path = cut.Path,
        LengthMeters = cut.LengthMeters,
        WidthMeters = cut.WidthMeters,
        JumpKelvin = cut.JumpKelvin,
        Text = text,
    };

    private static Draft DraftOf(Board board, PlaneCut cut, BoardEdit fill, double error)
    {
        string layer = board.Layers[cut.Layer].Name, length = Words.Millimetres(cut.LengthMeters), place = Words.At(GapPath.Halfway(cut.Path)), falls = Falls(cut, error);
        string net = Words.Net(board, cut.Net), cutter = cut.CutBy < 0 ? $"A gap of {Words.Millimetres(cut.WidthMeters)}" : board.Nets[cut.CutBy].Name;
        bool isFixed = !cut.MustStay && cut.Net >= 0 && board.Nets[cut.Net].FixedArea;
        string text = cut.MustStay
            ? $"{net} and {Words.Net(board, cut.Other)} lie beside each other on {layer} along {length} about {place}; {falls} from one to the other."
            : $"{cutter} cuts {net} on {layer} along {length} about {place}; {falls} across the cut.";
        string mend = cut.MustStay ? "Join them there"
            : cut.CutBy < 0 ? $"Fill the gap with {net}" : $"Route {board.Nets[cut.CutBy].Name} on another layer here and fill the gap with {net}";
        var finding = Found(cut, cut.MustStay ? FindingKind.QuietGroundBridge : isFixed ? FindingKind.SwitchingArea : FindingKind.PlaneCut, text);
        return new(finding, [new(EditKind.CloseGap, cut.Layer, cut.Net, fill, cut.CutBy < 0 ? [] : [cut.CutBy], mend)])
        {
            IsForbidden = cut.MustStay || isFixed,
            LeastGain = cut.MustStay ? LeastBridgeGain : LeastGain,
            LeastShare = cut.MustStay ? LeastBridgeShare : LeastShare,
        };
    }
}
