using HeatSpread.Boards;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Revisions;

/// <summary>One stage of copper: what each piece that is taken away, or put there, does. A link that changed belongs to the pieces in the cells at its ends, in equal shares.</summary>
internal sealed class CopperStage
{
    private readonly Board _board;
    private readonly CopperPieces?[] _pieces;
    private readonly AdjointSums _sums;
    private readonly ChangeKind _kind;
    private readonly double[]?[][] _worth;

    /// <summary>Changes that lie in no piece: an edge that is the same in both, scanned at other heights.</summary>
    private readonly double[] _nowhere;

    /// <param name="board">With the layers.</param>
    /// <param name="pieces">Of each layer; null where it is the same.</param>
    /// <param name="sums">What flows are worth.</param>
    /// <param name="adds">Whether the pieces are put there.</param>
    public CopperStage(Board board, CopperPieces?[] pieces, AdjointSums sums, bool adds)
    {
        (_board, _pieces, _sums) = (board, pieces, sums);
        _kind = adds ? ChangeKind.CopperAdded : ChangeKind.CopperRemoved;
        _worth = [.. pieces.Select(of => new double[of?.Count ?? 0][])];
        _nowhere = new double[sums.Readings];
    }

    public void Compare(Placement former, PartAttachments formerParts, Placement now, PartAttachments nowParts, Conditions conditions)
    {
        CompareInner(former, now);
        CompareOutflow(former, now, conditions);
        CompareParts(former, formerParts, now, nowParts, conditions.AmbientCelsius);
    }

    /// <param name="nets">Names by number.</param>
    public IEnumerable<RevisionChange> Changes(IReadOnlyList<Net> nets)
    {
        for (int layer = 0; layer < _pieces.Length; layer++)
        {
            for (int piece = 0; piece < _worth[layer].Length; piece++)
            {
                if (_worth[layer][piece] is not { } kelvin) continue;
                var (net, cells, area) = _pieces[layer]![piece];
                yield return new()
                {
                    Kind = _kind,
                    Kelvin = kelvin,
                    Name = _board.Layers[layer].Name,
                    Net = net < 0 ? null : nets[net].Name,
                    Cells = cells,
                    Area = area,
                };
            }
        }
        if (_nowhere.Any(k => k != 0)) yield return new() { Kind = _kind, Kelvin = _nowhere };
    }

    private void CompareInner(Placement former, Placement now)
    {
        var (first, second, plan) = (former.Network.Grid, now.Network.Grid, now.Network.Raster.Grid);
        var worth = new double[_sums.Readings];
        int plane = plan.CellCount;
        for (int sheet = 0; sheet < now.Sheets.Length; sheet++)
        {
            int here = now.Sheets[sheet] * plane, below = sheet + 1 < now.Sheets.Length ? now.Sheets[sheet + 1] * plane : 0;
            int layer = now.Network.Stack.Sheets[sheet].Layer, lower = sheet + 1 < now.Sheets.Length ? now.Network.Stack.Sheets[sheet + 1].Layer : -1;
            for (int cell = 0; cell < plane; cell++)
            {
                int own = sheet * plane + cell;
                Link(first.East[own] - second.East[own], here + cell, here + cell + 1, (layer, cell), (layer, cell + 1));
                Link(first.North[own] - second.North[own], here + cell, here + cell + plan.Columns, (layer, cell), (layer, cell + plan.Columns));
                Link(first.Below[own] - second.Below[own], here + cell, below + cell, (layer, cell), (lower, cell));
            }
        }

        void Link(float difference, int from, int to, (int, int) at, (int, int) beyond)
        {
            if (difference == 0) return;
            Array.Clear(worth);
            _sums.Add(worth, difference, from, to);
            Give(worth, at, beyond);
        }
    }

    /// <summary>Films reach the outer sheet through half its thickness, and the rim each sheet through part of a cell.</summary>
    private void CompareOutflow(Placement former, Placement now, Conditions conditions)
    {
        var sheets = now.Network.Stack.Sheets;
        if (sheets[0].Layer < 0 && sheets[^1].Layer < 0 && conditions.EdgesFilm == 0) return;
        double[] first = _sums.Outflow(former, conditions), second = _sums.Outflow(now, conditions);
        for (int unknown = 0; unknown < now.Network.Grid.CellCount; unknown++)
        {
            double difference = first[unknown] - second[unknown];
            if (difference == 0) continue;
            int at = now.Place(unknown), sheet = unknown / now.Network.PlaneCount, cell = unknown % now.Network.PlaneCount;
            double[] worth = [.. _sums.Adjoints.Select(adjoint => difference * adjoint[at])];
            Give(worth, (sheets[sheet].Layer, cell), (-1, 0));
        }
    }

    /// <summary>Which copper a pad's cells stand for may change: that goes to the piece under most of the part.</summary>
    private void CompareParts(Placement former, PartAttachments formerParts, Placement now, PartAttachments nowParts, double ambient)
    {
        double[][] first = _sums.Parts(former, formerParts, ambient), second = _sums.Parts(now, nowParts, ambient);
        for (int part = 0; part < first.Length; part++)
        {
            double[] worth = AdjointSums.Less(first[part], second[part]);
            if (worth.All(k => k == 0)) continue;
            var cells = nowParts.Terminals[part].Append(nowParts.Bodies[part]).SelectMany(footprint => footprint.Cells)
                .Select(unknown => (now.Network.Stack.Sheets[unknown / now.Network.PlaneCount].Layer, Cell: unknown % now.Network.PlaneCount));
            var most = cells.Where(at => PieceAt(at.Layer, at.Cell) >= 0).GroupBy(at => (at.Layer, PieceAt(at.Layer, at.Cell))).OrderByDescending(group => group.Count()).FirstOrDefault();
            Give(worth, most?.First() ?? (-1, 0), (-1, 0));
        }
    }

    private int PieceAt(int layer, int cell) => layer < 0 || _pieces[layer] is not { } pieces ? -1 : pieces.Label[cell];

    private void Give(double[] worth, (int Layer, int Cell) at, (int Layer, int Cell) beyond)
    {
        int first = PieceAt(at.Layer, at.Cell), second = PieceAt(beyond.Layer, beyond.Cell);
        double share = first >= 0 && second >= 0 ? 0.5 : 1;
        if (first >= 0) AddTo(_worth[at.Layer][first] ??= new double[worth.Length], worth, share);
        if (second >= 0) AddTo(_worth[beyond.Layer][second] ??= new double[worth.Length], worth, share);
        if (first < 0 && second < 0) AddTo(_nowhere, worth, 1);
    }

    private static void AddTo(double[] sum, double[] worth, double share)
    {
        for (int reading = 0; reading < sum.Length; reading++) sum[reading] += share * worth[reading];
    }
}
