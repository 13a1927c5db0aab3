using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>A gap that cuts copper in two, with a jump of temperature across.</summary>
/// <param name="Layer">Index into the board's layers.</param>
/// <param name="Net">Of the copper on its sides; -1 for none.</param>
/// <param name="Other">The net on the other side where it is to be kept apart from <paramref name="Net"/>, else the same.</param>
/// <param name="CutBy">The net whose copper lies in the gap; -1 where nothing does.</param>
/// <param name="Path">Along the gap, m.</param>
/// <param name="WidthMeters">Of the gap, copper to copper.</param>
/// <param name="JumpKelvin">Greatest along the gap.</param>
/// <param name="Links">Across the gap.</param>
internal sealed record PlaneCut(int Layer, int Net, int Other, int CutBy, IReadOnlyList<Point> Path, double WidthMeters, double JumpKelvin, IReadOnlyList<GapLink> Links)
{
    /// <summary>Vias whose clearances meet make the gap.</summary>
    public bool ByHoles { get; init; }

    public double LengthMeters => GapPath.Length(Path);

    /// <summary>Between nets that are to be kept apart: it must stay.</summary>
    public bool MustStay => Net != Other;
}

/// <summary>
/// Finds the cuts of pours: gaps with the same net on both sides (or with copper of no net, which could be it), a jump of temperature across, and so
/// heat that would flow if they were closed. One cut each for a gap and the net that makes it.
/// </summary>
internal static class PlaneCuts
{
    /// <summary>A cut has at least this jump somewhere, K.</summary>
    public const double LeastJump = 2.5;

    /// <summary>A cut ends where the jump stays below this share of <see cref="LeastJump"/>.</summary>
    public const double EndsBelow = 0.4;

    /// <summary>Where the jump changes its sign a cut goes on; jumps below this, K, are not looked at.</summary>
    private const double Nothing = 0.05;

    /// <summary>Shorter gaps, m, are holes and corners.</summary>
    public const double ShortestCut = 2e-3;

    /// <summary>A gap shorter than this multiple of its width is an opening, which heat flows about.</summary>
    public const double LeastLengthOverWidth = 2;

    /// <summary>
    /// Behind its colder side a cut has copper at least this far, m, for half of its length: a track along the rim parts a strip that would take up next to nothing.
    /// </summary>
    public const double LeastDepth = 3e-3;

    /// <summary>Two pieces of a cut that end this close to each other, m, are one: another track crosses there, or a pad stands in the gap.</summary>
    public const double LongestBreak = 3e-3;

    /// <summary>Share of a gap that lies in the clearances of vias, from which on these make it, and no track between them.</summary>
    private const double MostlyHoles = 0.8;

    /// <summary>Points a cell along each side with which it is told what lies in a gap.</summary>
    private static int FinePoints(BoardGrid grid) => Math.Clamp((int)Math.Ceiling(Math.Max(grid.PitchX, grid.PitchY) / NarrowestTrack), 4, 12);

    /// <summary>Narrower ones, m, may be taken for a slit.</summary>
    private const double NarrowestTrack = 0.05e-3;

    /// <param name="board">The board.</param>
    /// <param name="solution">Its copper and temperatures.</param>
    /// <param name="options">Cores, and what ends it.</param>
    /// <returns>Greatest jump first.</returns>
    public static IReadOnlyList<PlaneCut> Find(Board board, GridSolution solution, ParallelOptions options)
    {
        var cuts = new PlaneCut[board.Layers.Count][];
        Parallel.For(0, cuts.Length, options, layer => cuts[layer] = [.. OfLayer(board, layer, solution, options.CancellationToken)]);
        return [.. cuts.SelectMany(ofLayer => ofLayer).OrderByDescending(cut => cut.JumpKelvin)];
    }

    private static IEnumerable<PlaneCut> OfLayer(Board board, int layer, GridSolution solution, CancellationToken cancellationToken)
    {
        var scan = GapScan.Find(board, layer, solution, Nothing);
        var found = new List<PlaneCut>();
        foreach (var ((net, other), links) in scan.Links)
        {
            foreach (var gap in Joined(links, solution.Field.Grid))
            {
                if (gap.Max(link => Math.Abs(link.JumpKelvin)) < LeastJump) continue;
                found.AddRange(OfGap(board, layer, net, other, gap, solution.Field.Grid, cancellationToken));
            }
        }
        return Rejoined(found.Where(IsLong)).Where(cut => LeadsOn(cut, solution));
    }

    /// <summary>Pieces of one cut put together, end to end.</summary>
    private static List<PlaneCut> Rejoined(IEnumerable<PlaneCut> pieces)
    {
        var whole = new List<PlaneCut>();
        foreach (var piece in pieces)
        {
            var joined = piece;
            while (whole.Find(other => EndsMeet(other, joined)) is { } other)
            {
                whole.Remove(other);
                joined = Joined(other, joined);
            }
            whole.Add(joined);
        }
        return whole;
    }

    private static bool EndsMeet(PlaneCut first, PlaneCut second) =>
        (first.Net, first.Other, first.CutBy) == (second.Net, second.Other, second.CutBy)
        && Ends(first).Min(end => Ends(second).Min(other => GapPath.Distance(end, other))) <= LongestBreak;

    private static Point[] Ends(PlaneCut cut) => [cut.Path[0], cut.Path[^1]];

    private static PlaneCut Joined(PlaneCut first, PlaneCut second)
    {
        double Gap(IReadOnlyList<Point> a, IReadOnlyList<Point> b) => GapPath.Distance(a[^1], b[0]);
        IReadOnlyList<Point>[] forms = [first.Path, [.. first.Path.Reverse()]], others = [second.Path, [.. second.Path.Reverse()]];
        var (head, tail) = forms.SelectMany(form => others.Select(other => (form, other))).MinBy(pair => Gap(pair.form, pair.other));
        return first with
        {
            Path = [.. head, .. tail],
            WidthMeters = Math.Min(first.WidthMeters, second.WidthMeters),
            JumpKelvin = Math.Max(first.JumpKelvin, second.JumpKelvin),
            Links = [.. first.Links, .. second.Links],
            ByHoles = first.ByHoles && second.ByHoles,
        };
    }

    private static bool IsLong(PlaneCut cut)
    {
        // the line ends at the middles of the last links, half a cell or more before the gap does
        double length = cut.LengthMeters;
        return length >= ShortestCut && length >= LeastLengthOverWidth * cut.WidthMeters;
    }

    private static bool LeadsOn(PlaneCut cut, GridSolution solution)
    {
        var (grid, copper) = (solution.Field.Grid, solution.Raster.Layers[cut.Layer]);
        var strong = cut.Links.Where(link => Math.Abs(link.JumpKelvin) >= EndsBelow * LeastJump).ToList();
        return 2 * strong.Count(link => DepthBehind(link, copper, grid) >= LeastDepth) >= strong.Count;
    }

    /// <summary>How far copper goes on behind the colder side of a link, m; no farther than needed.</summary>
    private static double DepthBehind(GapLink link, LayerRaster copper, BoardGrid grid)
    {
        bool isUp = link.JumpKelvin > 0; // the colder cell is the one of higher index
        int cell = isUp ? link.To : link.From, step = (link.AlongX ? 1 : grid.Columns) * (isUp ? 1 : -1);
        float[] joined = link.AlongX ? copper.CopperEast : copper.CopperNorth;
        double pitch = link.AlongX ? grid.PitchX : grid.PitchY, depth = pitch / 2;
        while (depth < LeastDepth)
        {
            // the joint to the next cell; 0 at the grid's edge
            int joint = isUp ? cell : cell + step;
            if (joint < 0 || joined[joint] < LayerPieces.LeastLink) break;
            cell += step;
            depth += pitch;
        }
        return depth;
    }

    /// <summary>Links that touch, cell by cell, are across one gap.</summary>
    private static IEnumerable<List<GapLink>> Joined(List<GapLink> links, BoardGrid grid)
    {
        var linksAt = new Dictionary<int, List<int>>();
        for (int i = 0; i < links.Count; i++)
        {
            foreach (int cell in links[i].Cells(grid.Columns))
            {
                if (!linksAt.TryGetValue(cell, out var list)) linksAt[cell] = list = [];
                list.Add(i);
            }
        }
        var seen = new bool[links.Count];
        for (int start = 0; start < links.Count; start++)
        {
            if (seen[start]) continue;
            var gap = new List<GapLink>();
            var open = new Stack<int>([start]);
            seen[start] = true;
            while (open.TryPop(out int i))
            {
                gap.Add(links[i]);
                foreach (int cell in links[i].Cells(grid.Columns).SelectMany(cell => Around(cell, grid)))
                {
                    if (!linksAt.TryGetValue(cell, out var touching)) continue;
                    foreach (int next in touching)
                    {
                        if (seen[next]) continue;
                        seen[next] = true;
                        open.Push(next);
                    }
                }
            }
            yield return gap;
        }
    }

    private static IEnumerable<int> Around(int cell, BoardGrid grid)
    {
        int column = cell % grid.Columns, row = cell / grid.Columns;
        for (int y = Math.Max(0, row - 1); y <= Math.Min(grid.Rows - 1, row + 1); y++)
        {
            for (int x = Math.Max(0, column - 1); x <= Math.Min(grid.Columns - 1, column + 1); x++) yield return y * grid.Columns + x;
        }
    }

    /// <summary>One cut for each net whose copper lies in the gap.</summary>
    private static IEnumerable<PlaneCut> OfGap(Board board, int layer, int net, int other, List<GapLink> gap, BoardGrid grid, CancellationToken cancellationToken)
    {
        var inside = GapContents.Of(board, layer, net, other, gap, grid, FinePoints(grid), cancellationToken);
        foreach (var byNet in gap.Zip(inside, (link, content) => (Link: link, Content: content)).GroupBy(pair => pair.Content.CutBy))
        {
            var width = byNet.ToDictionary(pair => pair.Link, pair => pair.Content.WidthMeters);
            var byHole = byNet.Where(pair => pair.Content.ByHole).Select(pair => pair.Link).ToHashSet();
            var waiting = new Stack<List<GapLink>>(Joined([.. byNet.Select(pair => pair.Link)], grid));
            while (waiting.TryPop(out var links))
            {
                double jump = links.Max(link => Math.Abs(link.JumpKelvin));
                if (jump < LeastJump) continue;
                double[] widths = [.. links.Select(link => width[link]).Order()];
                // links along the gap, or aslant, are longer than the gap is wide
                double narrow = widths[widths.Length / 4], reach = narrow + 1.5 * Math.Max(grid.PitchX, grid.PitchY);
                var path = GapPath.Along(links, link => Math.Abs(link.JumpKelvin) >= EndsBelow * LeastJump, narrow, grid);
                var onPath = links.ToLookup(link => GapPath.Off(link.Middle(grid), path) <= reach);
                yield return new(layer, net, other, byNet.Key, path, narrow, jump, [.. onPath[true]]) { ByHoles = onPath[true].Count(byHole.Contains) >= MostlyHoles * onPath[true].Count() };
                // another arm of the same tracks is another cut
                foreach (var arm in Joined([.. onPath[false]], grid)) waiting.Push(arm);
            }
        }
    }
}
