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

    public static IEnumerable<Draft> Find(Board board, GridSolution answer, GridErrors errors, ParallelOptions options)
    {
        PlaneCut[] cuts = [.. PlaneCuts.Find(board, answer, options.CancellationToken).Take(Most)];
        var fills = new BoardEdit?[cuts.Length];
        Parallel.For(0, cuts.Length, options, i => fills[i] = GapFill.Of(board, cuts[i], answer.Field.Grid, options.CancellationToken));
        return cuts.Zip(fills).Where(pair => pair.Second is not null).Select(pair => DraftOf(board, pair.First, pair.Second!, ErrorOfJump(board, pair.First, answer, errors)));
    }

    private static double ErrorOfJump(Board board, PlaneCut cut, GridSolution answer, GridErrors errors)
    {
        var greatest = cut.Links.MaxBy(link => Math.Abs(link.JumpKelvin));
        return errors.OfJump(answer.Field, board.Layers[cut.Layer].Row, greatest.Middle(answer.Field.Grid), greatest.AlongX, cut.WidthMeters);
    }

    private static Draft DraftOf(Board board, PlaneCut cut, BoardEdit fill, double error)
    {
        string layer = board.Layers[cut.Layer].Name, length = Words.Millimetres(cut.LengthMeters), place = Words.At(GapPath.Halfway(cut.Path));
        string falls = cut.JumpKelvin < error ? "the temperature falls" : $"the temperature falls by {Words.Kelvin(cut.JumpKelvin, error)}";
        string net = Words.Net(board, cut.Net), cutter = cut.CutBy < 0 ? $"A gap of {Words.Millimetres(cut.WidthMeters)}" : board.Nets[cut.CutBy].Name;
        bool isFixed = !cut.MustStay && cut.Net >= 0 && board.Nets[cut.Net].FixedArea;
        string text = cut.MustStay
            ? $"{net} and {Words.Net(board, cut.Other)} lie beside each other on {layer} along {length} about {place}; {falls} from one to the other."
            : $"{cutter} cuts {net} on {layer} along {length} about {place}; {falls} across the cut.";
        string mend = cut.MustStay ? "Join them there"
            : cut.CutBy < 0 ? $"Fill the gap with {net}" : $"Route {board.Nets[cut.CutBy].Name} on another layer here and fill the gap with {net}";
        var finding = new Finding
        {
            Kind = cut.MustStay ? FindingKind.QuietGroundBridge : isFixed ? FindingKind.SwitchingArea : FindingKind.PlaneCut,
            Layer = cut.Layer,
            Net = cut.Net,
            CutBy = cut.MustStay ? cut.Other : cut.CutBy,
            Path = cut.Path,
            LengthMeters = cut.LengthMeters,
            WidthMeters = cut.WidthMeters,
            JumpKelvin = cut.JumpKelvin,
            Text = text,
        };
        return new(finding, [new(EditKind.CloseGap, cut.Layer, cut.Net, fill, cut.CutBy < 0 ? [] : [cut.CutBy], mend)])
        {
            IsForbidden = cut.MustStay || isFixed,
            LeastGain = cut.MustStay ? LeastBridgeGain : LeastGain,
            LeastShare = cut.MustStay ? LeastBridgeShare : LeastShare,
        };
    }
}
