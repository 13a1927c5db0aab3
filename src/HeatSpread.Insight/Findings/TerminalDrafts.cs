using HeatSpread.Boards;

namespace HeatSpread.Insight;

/// <summary>
/// The findings <c>starvedTerminal</c> and, where the net's area is fixed, <c>switchingArea</c>: a terminal that puts heat into a small piece of copper of its layer, where a
/// larger pour would cool a part.
/// </summary>
internal static class TerminalDrafts
{
    /// <summary>Terminals with less heat, W, or a smaller share of all heat, are not looked at.</summary>
    public const double LeastWatts = 0.05, LeastWattsShare = 0.05;

    /// <summary>K over ambient of the terminal, as a share of the hottest part's rise.</summary>
    public const double LeastRiseShare = 0.5;

    /// <summary>Copper within this distance of the pad's middle, m, is in reach.</summary>
    public const double Reach = 10e-3;

    /// <summary>Less than this share of the disc of that radius is little copper.</summary>
    public const double LittleShare = 0.5;

    /// <summary>K, and share of the hottest part's rise, that the larger pour must gain.</summary>
    public const double LeastGain = 1, LeastGainShare = 0.03;

    public static IEnumerable<Draft> Find(Board board, Conditions conditions, GridSolution answer, GridErrors errors, ParallelOptions options)
    {
        double all = answer.Field.Parts.Sum(part => part.Watts), hottest = answer.Field.Parts.Max(part => part.MaxCelsius) - conditions.AmbientCelsius;
        var hot = new List<HotTerminal>();
        for (int part = 0; part < board.Parts.Count; part++)
        {
            for (int index = 0; index < board.Parts[part].Terminals.Count; index++)
            {
                double watts = answer.Field.Parts[part].TerminalWatts[index], rise = answer.Field.Parts[part].TerminalCelsius[index] - conditions.AmbientCelsius;
                var terminal = board.Parts[part].Terminals[index];
                if (watts < Math.Max(LeastWatts, LeastWattsShare * all) || rise < LeastRiseShare * hottest || terminal.Net < 0) continue;
                int layer = board.Parts[part].SidesOf(terminal)[0] == BoardSide.Top ? 0 : board.Layers.Count - 1;
                hot.Add(new(part, terminal, layer, watts, rise));
            }
        }
        var growths = new PourGrowthFound[hot.Count];
        double mostOwn = LittleShare * Math.PI * Reach * Reach;
        Parallel.For(0, growths.Length, options, i => growths[i] = PourGrowth.About(board, hot[i].Layer, hot[i].Terminal, Reach, mostOwn, answer.Field.Grid, options.CancellationToken));
        return hot.Zip(growths).Where(pair => pair.Second.Edits.Count > 0).Select(pair => DraftOf(board, pair.First, pair.Second, errors.Parts[pair.First.Part]));
    }

    private sealed record HotTerminal(int Part, Terminal Terminal, int Layer, double Watts, double Rise);

    private static Draft DraftOf(Board board, HotTerminal hot, PourGrowthFound growth, double error)
    {
        string net = board.Nets[hot.Terminal.Net].Name, name = $"{board.Parts[hot.Part].Id}:{hot.Terminal.Name}", layer = board.Layers[hot.Layer].Name;
        bool isFixed = board.Nets[hot.Terminal.Net].FixedArea;
        var finding = new Finding
        {
            Kind = isFixed ? FindingKind.SwitchingArea : FindingKind.StarvedTerminal,
            Layer = hot.Layer,
            Net = hot.Terminal.Net,
            Part = hot.Part,
            Terminal = hot.Terminal.Name,
            Area = growth.Edits[^1].Area,
            Watts = hot.Watts,
            Text = $"{name} puts {Words.Watts(hot.Watts)} into {Words.SquareMillimetres(growth.OwnArea)} of {net} on {layer} and runs {Words.Kelvin(hot.Rise, error)} over the ambient.",
        };
        return new(finding, [.. growth.Edits.Select(grown => new EditDraft(EditKind.GrowPour, hot.Layer, hot.Terminal.Net, grown.Edit, [], TextOf(net, layer, grown)))])
        {
            IsForbidden = isFixed,
            LeastGain = LeastGain,
            LeastShare = LeastGainShare,
            NeedsClaim = true,
        };
    }

    private static string TextOf(string net, string layer, GrownPour grown) =>
        $"Grow {net} on {layer} by {Words.SquareMillimetres(grown.SquareMeters)} within {Words.Millimetres(grown.Reach)} of the pad";
}
