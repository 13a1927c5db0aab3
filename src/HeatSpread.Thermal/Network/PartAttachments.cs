using System.Numerics;
using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Network;

/// <summary>A region's cells in one sheet, with weights that add up to 1.</summary>
/// <param name="Cells">Unknowns of the network.</param>
/// <param name="Weights">Shares of the region's area on the board.</param>
/// <param name="Shares">How much of each cell is board that the region covers, 0 to 1.</param>
internal sealed record Footprint(int[] Cells, double[] Weights, double[] Shares)
{
    public static Footprint Empty { get; } = new([], [], []);

    /// <summary>Mean over the footprint of a value of cells.</summary>
    public double Mean(ReadOnlySpan<double> values)
    {
        double sum = 0;
        for (int i = 0; i < Cells.Length; i++) sum += Weights[i] * values[Cells[i]];
        return sum;
    }
}

/// <summary>Where the parts touch the board, and the heat and links that they bring.</summary>
internal sealed class PartAttachments
{
    private readonly ThermalNetwork _network;
    private readonly double[] _watts;

    /// <summary>Cells of each pad and body in the plan, which do not depend on copper.</summary>
    private readonly Dictionary<Region, List<CoveredCell>> _covered;

    private PartAttachments(ThermalNetwork network, double[] watts, PartAttachments? like)
    {
        _network = network;
        _watts = watts;
        _covered = like is not null && like._network.Raster.Grid == network.Raster.Grid ? new(like._covered, ReferenceEqualityComparer.Instance) : new(ReferenceEqualityComparer.Instance);
        FindCovered(network.Board);
        Terminals = [.. network.Board.Parts.Select(part => part.Terminals.Select(terminal => Place(terminal.Pad, part.SidesOf(terminal))).ToArray())];
        Bodies = [.. network.Board.Parts.Select(part => part.Body is { } body ? Place(body, [part.Side]) : Footprint.Empty)];
    }

    private PartAttachments(PartAttachments other, double[] watts) => (_network, _watts, _covered, Terminals, Bodies) = (other._network, watts, other._covered, other.Terminals, other.Bodies);

    /// <summary>By part and terminal.</summary>
    public Footprint[][] Terminals { get; }

    /// <summary>By part; empty without a body.</summary>
    public Footprint[] Bodies { get; }

    public IReadOnlyList<double> Watts => _watts;

    /// <summary>Changes what a part makes, W.</summary>
    public void SetWatts(int part, double watts) => _watts[part] = watts;

    /// <summary>Adds the links of the parts' networks to the grid.</summary>
    /// <param name="network">The network.</param>
    /// <param name="conditions">With watts of parts.</param>
    /// <param name="like">Attached to another network before: the cells of pads and bodies that are the same are not searched again. Null: none.</param>
    public static PartAttachments Attach(ThermalNetwork network, Conditions conditions, PartAttachments? like = null)
    {
        var attachments = new PartAttachments(network, WattsUnder(network.Board, conditions), like);
        for (int part = 0; part < network.Board.Parts.Count; part++)
        {
            if (network.Board.Parts[part].Network is { } inner) attachments.AddLinks(part, inner);
        }
        return attachments;
    }

    /// <summary>The same parts on the same network under other conditions.</summary>
    public PartAttachments Under(Conditions conditions) => new(this, WattsUnder(_network.Board, conditions));

    private static double[] WattsUnder(Board board, Conditions conditions) =>
        [.. board.Parts.Select((part, index) => conditions.Watts.TryGetValue(index, out double given) ? given : part.Watts)];

    /// <summary>Adds the parts' heat to that of the unknowns, W.</summary>
    public void AddHeat(Span<double> heat)
    {
        for (int part = 0; part < _watts.Length; part++)
        {
            var entry = HeatEntry(part);
            for (int i = 0; i < entry.Unknowns.Count; i++) heat[entry.Unknowns[i]] += _watts[part] * entry.Weights[i];
        }
    }

    /// <summary>Where a part's heat enters: its nodes by their shares, or its pads (its body without any) by area.</summary>
    public LinearReading HeatEntry(int part)
    {
        if (_network.Board.Parts[part].Network is { } inner) return new([.. Enumerable.Range(0, inner.Nodes.Count).Select(node => Unknown(part, node))], inner.HeatShares);
        var heated = HeatedBoard(part).ToArray();
        return new([.. heated.SelectMany(each => each.Footprint.Cells)], [.. heated.SelectMany(each => each.Footprint.Weights.Select(weight => weight * each.Share))]);
    }

    /// <summary>What a part without a network heats: its pads by area, or the board under its body.</summary>
    public IEnumerable<(Footprint Footprint, double Share)> HeatedBoard(int part)
    {
        var terminals = _network.Board.Parts[part].Terminals;
        if (terminals.Count == 0) return [(Bodies[part], 1)];
        var given = _network.Board.Parts[part];
        double[] areas = [.. terminals.Select(terminal => given.SidesOf(terminal).Count * terminal.Pad.Polygons.Sum(polygon => polygon.Area))];
        return Terminals[part].Select((footprint, index) => (footprint, areas[index] / areas.Sum()));
    }

    public int Unknown(int part, int node) => _network.Grid.CellCount + _network.FirstNode[part] + node;

    private void AddLinks(int part, PartNetwork inner)
    {
        int first = _network.FirstNode[part];
        foreach (var link in inner.Links)
        {
            double conductance = 1 / link.KelvinPerWatt;
            int node = first + link.FromNode;
            switch (link.Target)
            {
                case PartLinkTarget.Node:
                    _network.Grid.NodeNodeLinks.Add(new NodeNodeLink(node, first + link.TargetIndex, conductance));
                    break;
                case PartLinkTarget.Terminal:
                    AddLinks(node, Terminals[part][link.TargetIndex], conductance);
                    break;
                case PartLinkTarget.Board:
                    AddLinks(node, Bodies[part], conductance);
                    break;
                default:
                    _network.Grid.NodeToSink[node] += conductance;
                    break;
            }
        }
    }

    private void AddLinks(int node, Footprint footprint, double conductance)
    {
        for (int i = 0; i < footprint.Cells.Length; i++)
        {
            _network.Grid.NodeCellLinks.Add(new NodeCellLink(node, footprint.Cells[i], conductance * footprint.Weights[i]));
        }
    }

    /// <summary>A region in the outer copper layers of sides (the outer rows of a board without copper).</summary>
    private Footprint Place(Region region, IReadOnlyList<BoardSide> sides)
    {
        var board = _network.Board;
        var cells = new List<int>();
        var (weights, shares) = (new List<double>(), new List<double>());
        foreach (var side in sides.DistinctBy(board.OuterRow))
        {
            Place(region, _network.Stack.CentreOfRow(board.OuterRow(side)) * _network.PlaneCount, board.OuterLayer(side), cells, weights, shares);
        }
        double sum = weights.Sum();
        return new Footprint([.. cells], [.. weights.Select(weight => weight / sum)], [.. shares]);
    }

    private void Place(Region region, int start, int layer, List<int> cells, List<double> weights, List<double> shares)
    {
        var piece = layer >= 0 ? _network.Raster.Layers[layer].MainPiece : null;
        var board = _network.Raster.BoardShareArray;
        var covered = _covered[region].Where(each => board[each.Cell] > 0).ToList();
        if (covered.Count == 0) covered.Add(new(NearestOnBoard(region), 1, 0));
        // A body may hang over the board's edge: a cell of which little is board takes little of it.
        double[] onBoard = [.. covered.Select(each => Math.Min(each.Share, board[each.Cell]))];
        double[] onPiece = [.. covered.Zip(onBoard, (each, most) => Math.Min(most, each.Share * OnMainPiece(each, piece)))];
        // A pad so small that nowhere it is a cell's main copper keeps its cells all the same.
        if (onPiece.Sum() < 0.05 * onBoard.Sum()) onPiece = onBoard;
        cells.AddRange(covered.Select(each => start + each.Cell));
        weights.AddRange(onPiece);
        shares.AddRange(onBoard);
    }

    /// <summary>For a region so narrow, or so little of it over the board's edge, that no cell tells of it.</summary>
    private int NearestOnBoard(Region region)
    {
        var (grid, board, box) = (_network.Raster.Grid, _network.Raster.BoardShareArray, region.Bounds);
        double Distance(int cell)
        {
            var centre = grid.Centre(cell % grid.Columns, cell / grid.Columns);
            return Math.Pow(centre.X - Math.Clamp(centre.X, box.MinX, box.MaxX), 2) + Math.Pow(centre.Y - Math.Clamp(centre.Y, box.MinY, box.MaxY), 2);
        }

        return Enumerable.Range(0, grid.CellCount).Where(cell => board[cell] > 0).MinBy(Distance);
    }

    private void FindCovered(Board board)
    {
        Region[] regions = [.. board.Parts.SelectMany(part => part.Terminals.Select(terminal => terminal.Pad).Concat(part.Body is { } body ? [body] : [])).Where(region => !_covered.ContainsKey(region)).Distinct(ReferenceEqualityComparer.Instance).Cast<Region>()];
        var covered = new List<CoveredCell>[regions.Length];
        Parallel.For(0, regions.Length, i => covered[i] = RegionCover.CellsOf(regions[i], _network.Raster.Grid));
        for (int i = 0; i < regions.Length; i++) _covered.Add(regions[i], covered[i]);
    }

    /// <summary>Heat of a pad must not enter a cell whose temperature stands for copper beyond a gap.</summary>
    private static double OnMainPiece(CoveredCell covered, ulong[]? mainPiece)
    {
        if (mainPiece is null || covered.Fine == 0 || mainPiece[covered.Cell] == 0) return 1;
        return BitOperations.PopCount(covered.Fine & mainPiece[covered.Cell]) / (double)BitOperations.PopCount(covered.Fine);
    }
}
