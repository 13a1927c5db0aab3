using System.Runtime.CompilerServices;
using HeatSpread.Solver.Kernels;

namespace HeatSpread.Solver.Multigrid;

/// <summary>Links of nodes to a level's cells, handed to the coarse columns in the shares by which these hold the cells.</summary>
internal sealed unsafe class CoarseLinks
{
    private readonly Level _level;

    /// <summary>Of the column at hand, by corner (south-west, south-east, north-west, north-east of the coarse columns around) and sheet; they add up to 1.</summary>
    private readonly double[][] _shares;

    /// <summary>What each neighbour at 1 K makes of the column, the others being at 0: west, east, south, north; by sheet.</summary>
    private readonly double[][] _parts;

    private readonly double[] _multiplier;

    private CoarseLinks(Level level)
    {
        double[] Sheets() => new double[level.Shape.Sheets];
        (_level, _multiplier) = (level, Sheets());
        _shares = [Sheets(), Sheets(), Sheets(), Sheets()];
        _parts = [Sheets(), Sheets(), Sheets(), Sheets()];
    }

    /// <param name="level">Whose columns the links end on.</param>
    /// <param name="links">Of the level.</param>
    /// <param name="nodes">Number of nodes.</param>
    /// <param name="least">Share of a node's strongest coarse column up to which a coarse column is left out.</param>
    /// <param name="cancellationToken">Gives it up.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static ColumnLinks Of(Level level, ColumnLinks links, int nodes, double least, CancellationToken cancellationToken)
    {
        var shape = level.Shape;
        var column = new CoarseLinks(level);
        var shares = column._shares;
        var coarse = new ColumnLinkSum(shape.CoarseColumns, shape.CoarseRows, shape.Sheets, nodes, links.Pairs);
        for (var c = 0; c < links.Columns; c++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            column.TakeShares(links.X[c], links.Y[c]);
            for (var corner = 0; corner < 4; corner++)
            {
                if (!shares[corner].AsSpan().ContainsAnyExcept(0.0)) continue;
                for (var pair = links.Start[c]; pair < links.Start[c + 1]; pair++)
                {
                    var sum = coarse.Pair(links.Node[pair], (links.X[c] / 2) + (corner & 1), (links.Y[c] / 2) + (corner >> 1));
                    for (var s = 0; s < sum.Length; s++) sum[s] += links.Of(pair)[s] * shares[corner][s];
                }
            }
        }

        return coarse.Build(least, cancellationToken);
    }

    private void TakeShares(int column, int row)
    {
        foreach (var share in _shares) Array.Clear(share);
        bool oddX = (column & 1) != 0, oddY = (row & 1) != 0;
        if (!oddX && !oddY) Array.Fill(_shares[0], 1);
        else if (oddX && oddY) TakeCentre(column, row);
        else AddBetween(column, row, null, 0, oddX ? 1 : 2);
    }

    /// <summary>Adds the two shares of a black column, times <paramref name="factors"/> by sheet.</summary>
    private void AddBetween(int column, int row, double[]? factors, int near, int far)
    {
        var weight = _level.Weight.Pointer + _level.Shape.ColumnStart(column, row);
        for (var s = 0; s < _level.Shape.Sheets; s++)
        {
            double w = weight[s * _level.Shape.Half], f = factors?[s] ?? 1;
            _shares[near][s] += f * w;
            if (w < 1) _shares[far][s] += f * (1 - w);
        }
    }

    private void TakeCentre(int column, int row)
    {
        var shape = _level.Shape;
        var n = _level.Row(0, row, null);
        TakePart(column, row, n, n.West, _parts[0]);
        TakePart(column, row, n, n.East, _parts[1]);
        TakePart(column, row, n, n.South, _parts[2]);
        TakePart(column, row, n, n.North, _parts[3]);
        for (var s = 0; s < shape.Sheets; s++)
        {
            // A column without neighbours hangs on its links alone; any corner will do.
            var total = _parts[0][s] + _parts[1][s] + _parts[2][s] + _parts[3][s];
            if (total > 0) for (var k = 0; k < 4; k++) _parts[k][s] /= total;
            else _parts[0][s] = 1;
        }

        if (column > 0) AddBetween(column - 1, row, _parts[0], 0, 2);
        if (column + 1 < shape.Columns) AddBetween(column + 1, row, _parts[1], 1, 3);
        AddBetween(column, row - 1, _parts[2], 0, 1);
        if (row + 1 < shape.Rows) AddBetween(column, row + 1, _parts[3], 2, 3);
    }

    /// <summary>What one of a column's neighbours at 1 K makes of it, the others being at 0.</summary>
    /// <param name="column">Red, on no coarse column.</param>
    /// <param name="row">Of the column.</param>
    /// <param name="n">Conductances to all neighbours.</param>
    /// <param name="to">Conductances to the one.</param>
    /// <param name="values">By sheet, K.</param>
    private void TakePart(int column, int row, RowStencil n, float* to, double[] values)
    {
        var shape = _level.Shape;
        double fromAbove = 0, carry = 0;
        var vertical = _level.Multiplier[0].Pointer + shape.ColumnStart(column, row);
        for (int s = 0, i = column >> 1; s < shape.Sheets; s++, i += shape.Half)
        {
            var elsewhere = fromAbove + n.West[i] + n.East[i] + n.South[i] + n.North[i];
            double v = vertical[s * shape.Half], pivot = elsewhere + v;
            (_multiplier[s], values[s]) = (0, 0);
            if (pivot <= 0) continue;
            _multiplier[s] = v / pivot;
            values[s] = (to[i] + carry) / pivot;
            carry = (to[i] + carry) * _multiplier[s];
            fromAbove = _multiplier[s] * elsewhere;
        }

        for (var s = shape.Sheets - 2; s >= 0; s--) values[s] += _multiplier[s] * values[s + 1];
    }
}
