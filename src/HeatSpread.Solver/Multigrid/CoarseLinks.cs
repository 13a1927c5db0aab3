using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>Links of nodes to a level's cells, handed to the coarse columns in the shares by which these hold the cells.</summary>
internal static unsafe class CoarseLinks
{
    /// <param name="level">Whose columns the links end on.</param>
    /// <param name="links">Of the level.</param>
    /// <param name="nodes">Number of nodes.</param>
    /// <param name="least">Share of a node's strongest coarse column up to which a coarse column is left out.</param>
    /// <param name="cancellationToken">Gives it up.</param>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public static ColumnLinks Of(Level level, ColumnLinks links, int nodes, double least, CancellationToken cancellationToken)
    {
        var shape = level.Shape;
        var coarse = new ColumnLinkSum(shape.CoarseColumns, shape.CoarseRows, shape.Sheets, nodes);
        for (var c = 0; c < links.Columns; c++)
        {
            cancellationToken.ThrowIfCancellationRequested();
            var shares = Shares(level, links.X[c], links.Y[c]);
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

    /// <summary>By corner (south-west, south-east, north-west, north-east of the coarse columns around) and sheet; they add up to 1.</summary>
    private static double[][] Shares(Level level, int column, int row)
    {
        var sheets = level.Shape.Sheets;
        var shares = new double[4][];
        for (var k = 0; k < 4; k++) shares[k] = new double[sheets];
        bool oddX = (column & 1) != 0, oddY = (row & 1) != 0;
        if (!oddX && !oddY) Array.Fill(shares[0], 1);
        else if (oddX && oddY) Centre(level, column, row, shares);
        else Between(level, column, row, 1, null, shares, 0, oddX ? 1 : 2);
        return shares;
    }

    /// <summary>Adds the two shares of a black column, times <paramref name="factors"/> by sheet.</summary>
    private static void Between(Level level, int column, int row, double factor, double[]? factors, double[][] shares, int near, int far)
    {
        var weight = level.Weight.Pointer + level.Shape.ColumnStart(column, row);
        for (var s = 0; s < level.Shape.Sheets; s++)
        {
            double w = weight[s * level.Shape.Half], f = factors?[s] ?? factor;
            shares[near][s] += f * w;
            if (w < 1) shares[far][s] += f * (1 - w);
        }
    }

    private static void Centre(Level level, int column, int row, double[][] shares)
    {
        var shape = level.Shape;
        var n = level.Row(0, row, null);
        float*[] lateral = [n.West, n.East, n.South, n.North];
        double[][] parts = new double[4][];
        double[] total = new double[shape.Sheets];
        for (var k = 0; k < 4; k++)
        {
            parts[k] = ColumnPart(level, column, row, lateral, k);
            for (var s = 0; s < shape.Sheets; s++) total[s] += parts[k][s];
        }

        for (var s = 0; s < shape.Sheets; s++)
        {
            // A column without neighbours hangs on its links alone; any corner will do.
            if (total[s] > 0) for (var k = 0; k < 4; k++) parts[k][s] /= total[s];
            else parts[0][s] = 1;
        }

        if (column > 0) Between(level, column - 1, row, 0, parts[0], shares, 0, 2);
        if (column + 1 < shape.Columns) Between(level, column + 1, row, 0, parts[1], shares, 1, 3);
        Between(level, column, row - 1, 0, parts[2], shares, 0, 1);
        if (row + 1 < shape.Rows) Between(level, column, row + 1, 0, parts[3], shares, 2, 3);
    }

    /// <summary>What neighbour <paramref name="k"/> at 1 K makes of the column, the others being at 0.</summary>
    private static double[] ColumnPart(Level level, int column, int row, float*[] lateral, int k)
    {
        var shape = level.Shape;
        double[] values = new double[shape.Sheets], multiplier = new double[shape.Sheets];
        double fromAbove = 0, carry = 0;
        var vertical = level.Multiplier[0].Pointer + shape.ColumnStart(column, row);
        for (int s = 0, i = column >> 1; s < shape.Sheets; s++, i += shape.Half)
        {
            var elsewhere = fromAbove + lateral[0][i] + lateral[1][i] + lateral[2][i] + lateral[3][i];
            double v = vertical[s * shape.Half], pivot = elsewhere + v;
            if (pivot <= 0) continue;
            multiplier[s] = v / pivot;
            values[s] = (lateral[k][i] + carry) / pivot;
            carry = (lateral[k][i] + carry) * multiplier[s];
            fromAbove = multiplier[s] * elsewhere;
        }

        for (var s = shape.Sheets - 2; s >= 0; s--) values[s] += multiplier[s] * values[s + 1];
        return values;
    }
}
