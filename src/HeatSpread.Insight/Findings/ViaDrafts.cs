using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>The findings <c>viaReliance</c> and <c>idleVias</c>, of the vias in the pads and under the bodies of parts that make heat.</summary>
internal static class ViaDrafts
{
    /// <summary>Parts with less heat, W, are not looked at.</summary>
    public const double LeastWatts = 0.2;

    /// <summary>A part relies on its vias where they carry at least this share of its heat, and each at least this many watts.</summary>
    public const double RelianceShare = 0.5, RelianceWattsEach = 0.05;

    /// <summary>K, and share of the hottest part's rise, that one more row must gain.</summary>
    public const double LeastGain = 1, LeastGainShare = 0.02;

    /// <summary>Vias under a part are idle where a group of them carries less than this share of the part's heat.</summary>
    public const double IdleShare = 0.02;

    /// <summary>Copper smaller than this, m², spreads next to no heat: the pads of vias.</summary>
    private const double SpreadingArea = 10e-6;

    /// <summary>Vias further outside a pad than this, m, are not the part's.</summary>
    private const double Beside = 0.5e-3;

    public static IEnumerable<Draft> Find(Board board, Conditions conditions, GridSolution answer, GridErrors errors, CancellationToken cancellationToken)
    {
        for (int part = 0; part < board.Parts.Count; part++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            var solved = answer.Field.Parts[part];
            if (solved.Watts < LeastWatts || solved.MaxCelsius - conditions.AmbientCelsius < 10) continue;
            foreach (var terminal in board.Parts[part].Terminals)
            {
                foreach (var draft in OfTerminal(board, part, terminal, answer, errors.Parts[part], cancellationToken)) yield return draft;
            }
        }
    }

    private static IEnumerable<Draft> OfTerminal(Board board, int part, Terminal terminal, GridSolution answer, double error, CancellationToken cancellationToken)
    {
        var solved = answer.Field.Parts[part];
        string id = board.Parts[part].Id;
        var under = new List<(int Group, Point[] At)>();
        for (int group = 0; group < board.Vias.Count; group++)
        {
            if (board.Vias[group].Net != terminal.Net || board.Vias[group].PlatingArea <= 0) continue;
            Point[] at = [.. board.Vias[group].At.Where(via => IsUnder(terminal.Pad, via))];
            if (at.Length > 0) under.Add((group, at));
        }
        if (under.Count == 0) yield break;
        Point[] all = [.. under.SelectMany(group => group.At)];
        double watts = solved.Paths.Where(path => path.Kind == PathKind.Vias && path.Net == terminal.Net).Sum(path => path.Watts);
        double each = watts / all.Length;
        if (watts >= RelianceShare * solved.Watts && each >= RelianceWattsEach)
        {
            var group = board.Vias[under.MaxBy(found => found.At.Length).Group];
            double drop = FallAlong(board, group, all, answer);
            string losing = all.Length > 1 ? Losing(drop / (all.Length - 1), error) : "";
            var row = ViaRow.Beside(board, group, all, terminal, answer.Field.Grid, cancellationToken);
            var finding = new Finding
            {
                Kind = FindingKind.ViaReliance,
                Net = terminal.Net,
                Part = part,
                Terminal = terminal.Name,
                Path = all,
                Watts = watts,
                JumpKelvin = drop,
                Text = $"{(all.Length == 1 ? "One via" : $"{all.Length} vias")} at {id}:{terminal.Name} {(all.Length == 1 ? "carries" : "carry")} {Words.Watts(watts)} of the {Words.Watts(solved.Watts)} of {id}{(all.Length == 1 ? "" : $", {Words.Watts(each)} each")}.{losing}",
            };
            EditDraft[] edits = row is null ? [] : [new(EditKind.AddVias, -1, terminal.Net, new([], [row]), [], $"Add {row.At.Count} {(row.At.Count == 1 ? "via" : "vias")} beside {(all.Length == 1 ? "it" : "them")}")];
            if (edits.Length > 0) yield return new(finding, edits)
            {
                IsForbidden = board.Nets[terminal.Net].FixedArea, // a via brings copper of its own
                LeastGain = LeastGain,
                LeastShare = LeastGainShare,
                NeedsClaim = true,
            };
        }
        foreach (var (group, at) in under)
        {
            double carried = Math.Abs(answer.Field.Vias.Entries[group].Watts);
            if (at.Length < board.Vias[group].At.Count || at.Length < 2 || carried > IdleShare * solved.Watts) continue;
            yield return new(
                new()
                {
                    Kind = FindingKind.IdleVias,
                    Net = terminal.Net,
                    Part = part,
                    Terminal = terminal.Name,
                    Path = at,
                    Watts = carried,
                    Text = $"The {at.Length} vias at {id}:{terminal.Name} carry {Words.Watts(carried)} together: {WhyIdle(board, board.Vias[group], at, terminal, part, answer)}",
                },
                []);
        }
    }

    private static string WhyIdle(Board board, ViaGroup group, Point[] at, Terminal terminal, int part, GridSolution answer)
    {
        int[] own = [.. board.Parts[part].SidesOf(terminal).Select(side => side == BoardSide.Top ? 0 : board.Layers.Count - 1)];
        bool leadsOn = Enumerable.Range(group.FromLayer, group.ToLayer - group.FromLayer + 1).Except(own).Any(layer => MeetsCopper(layer, at, answer));
        return leadsOn ? "the copper that they lead to is about as warm as the pad. Without them it would hardly be hotter." : "they lead to no copper that spreads the heat. Lead them to a plane.";
    }

    /// <summary>Whether one of some places lies on copper that is large enough to spread heat.</summary>
    private static bool MeetsCopper(int layer, Point[] at, GridSolution answer)
    {
        var grid = answer.Field.Grid;
        var pieces = new LayerPieces(answer.Raster.Layers[layer], grid);
        return at.Any(via =>
        {
            var (column, row) = grid.CellAt(via);
            return pieces.Of(row * grid.Columns + column) is var piece and not LayerPieces.None && pieces.Area(piece) >= SpreadingArea;
        });
    }

    private static string Losing(double kelvin, double error) =>
        kelvin < error ? $" Losing one of them costs less than the grid can tell ({Words.Bound(error)})." : $" Losing one of them costs {Words.About(kelvin, error)}.";

    private static bool IsUnder(Region pad, Point via) => pad.Bounds.Grow(Beside).Holds(via);

    /// <summary>K from the uppermost to the lowest layer that the vias join, mean over them.</summary>
    private static double FallAlong(Board board, ViaGroup group, Point[] at, GridSolution answer)
    {
        float[] top = answer.Field.RowCelsius[board.Layers[group.FromLayer].Row], bottom = answer.Field.RowCelsius[board.Layers[group.ToLayer].Row];
        return Math.Abs(at.Average(via => FieldSample.At(answer.Field.Grid, top, via) - FieldSample.At(answer.Field.Grid, bottom, via)));
    }
}
