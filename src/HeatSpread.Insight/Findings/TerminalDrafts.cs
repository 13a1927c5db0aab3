using HeatSpread.Boards;
using HeatSpread.Thermal;

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

    public static IEnumerable<Draft> Find(Board board, Conditions conditions, GridSolution answer, double gridError, CancellationToken cancellationToken)
    {
        double all = answer.Field.Parts.Sum(part => part.Watts), hottest = answer.Field.Parts.Max(part => part.MaxCelsius) - conditions.AmbientCelsius;
        for (int part = 0; part < board.Parts.Count; part++)
        {
            for (int index = 0; index < board.Parts[part].Terminals.Count; index++)
            {
                double watts = answer.Field.Parts[part].TerminalWatts[index], rise = answer.Field.Parts[part].TerminalCelsius[index] - conditions.AmbientCelsius;
                var terminal = board.Parts[part].Terminals[index];
                if (watts < Math.Max(LeastWatts, LeastWattsShare * all) || rise < LeastRiseShare * hottest || terminal.Net < 0) continue;
                foreach (var side in board.Parts[part].SidesOf(terminal).Take(1))
                {
                    int layer = side == BoardSide.Top ? 0 : board.Layers.Count - 1;
                    if (DraftOf(board, part, terminal, layer, watts, rise, answer.Field.Grid, gridError, cancellationToken) is { } draft) yield return draft;
                }
            }
        }
    }

    private static Draft? DraftOf(Board board, int part, Terminal terminal, int layer, double watts, double rise, BoardGrid grid, double gridError, CancellationToken cancellationToken)
    {
        var growth = PourGrowth.About(board, layer, terminal, Reach, grid, cancellationToken);
        double disc = Math.PI * Reach * Reach;
        if (growth.OwnArea > LittleShare * disc || growth.Edits.Count == 0) return null;
        string net = board.Nets[terminal.Net].Name, name = $"{board.Parts[part].Id}:{terminal.Name}", layerName = board.Layers[layer].Name;
        bool isFixed = board.Nets[terminal.Net].FixedArea;
        var finding = new Finding
        {
            Kind = isFixed ? FindingKind.SwitchingArea : FindingKind.StarvedTerminal,
            Layer = layer,
            Net = terminal.Net,
            Part = part,
            Terminal = terminal.Name,
            Area = growth.Edits[^1].Area,
            Watts = watts,
            Text = $"{name} puts {Words.Watts(watts)} into {Words.SquareMillimetres(growth.OwnArea)} of {net} on {layerName} and runs {Words.Kelvin(rise, gridError)} over the ambient.",
        };
        return new(finding, [.. growth.Edits.Select(grown => new EditDraft(EditKind.GrowPour, layer, terminal.Net, grown.Edit, [], TextOf(net, layerName, grown)))])
        {
            IsForbidden = isFixed,
            LeastGain = Math.Max(LeastGain, gridError),
            LeastShare = LeastGainShare,
        };
    }

    private static string TextOf(string net, string layer, GrownPour grown) =>
        $"Grow {net} on {layer} by {Words.SquareMillimetres(grown.SquareMeters)} within {Words.Millimetres(grown.Reach)} of the pad";
}
