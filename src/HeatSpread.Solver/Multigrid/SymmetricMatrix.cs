using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>A sparse symmetric matrix: its diagonal, and by rows the entries beside it, both triangles, in no order within a row. Immutable.</summary>
internal sealed record SymmetricMatrix(double[] Diagonal, int[] RowStart, int[] Column, double[] Value)
{
    public int Size => Diagonal.Length;

    public long Nonzeros => Size + Column.Length;
}

/// <summary>Adds up a <see cref="SymmetricMatrix"/> from summands in any order.</summary>
internal sealed class SymmetricSum(double[] diagonal)
{
    private readonly List<(int Row, int Column, double Value)> _entries = [];

    /// <summary>All beside the diagonal of a matrix, whose first unknown is here <paramref name="first"/>.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public void AddEntries(SymmetricMatrix matrix, int first = 0)
    {
        for (var row = 0; row < matrix.Size; row++)
        {
            for (var e = matrix.RowStart[row]; e < matrix.RowStart[row + 1]; e++)
            {
                if (matrix.Column[e] > row) _entries.Add((first + row, first + matrix.Column[e], matrix.Value[e]));
            }
        }
    }

    /// <summary>To an entry of the diagonal, or to one beside it and its mirror image.</summary>
    public void Add(int row, int column, double value)
    {
        if (row == column) diagonal[row] += value;
        else if (value != 0) _entries.Add((row, column, value));
    }

    /// <summary>A conductance between two unknowns.</summary>
    public void Join(int a, int b, double conductance)
    {
        if (a == b || conductance <= 0) return;
        diagonal[a] += conductance;
        diagonal[b] += conductance;
        _entries.Add((a, b, -conductance));
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    public SymmetricMatrix Build()
    {
        var n = diagonal.Length;
        var start = new int[n + 1];
        foreach (var (row, column, _) in _entries)
        {
            start[row + 1]++;
            start[column + 1]++;
        }

        for (var i = 0; i < n; i++) start[i + 1] += start[i];
        int[] columns = new int[start[n]], next = start[..n];
        var values = new double[start[n]];
        foreach (var (row, column, value) in _entries)
        {
            (columns[next[row]], values[next[row]++]) = (column, value);
            (columns[next[column]], values[next[column]++]) = (row, value);
        }

        var count = MergeRows(start, columns, values);
        return new(diagonal, start, columns[..count], values[..count]);
    }

    /// <summary>Adds up entries of the same place, in the order in which they came; returns how many are left.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private static int MergeRows(int[] start, int[] columns, double[] values)
    {
        var place = new int[start.Length - 1];
        Array.Fill(place, -1);
        var count = 0;
        for (int row = 0, from = 0; row < place.Length; row++)
        {
            int first = count, end = start[row + 1];
            for (var e = from; e < end; e++)
            {
                ref var at = ref place[columns[e]];
                if (at >= first)
                {
                    values[at] += values[e];
                    continue;
                }

                (at, columns[count], values[count]) = (count, columns[e], values[e]);
                count++;
            }

            (from, start[row + 1]) = (end, count);
        }

        return count;
    }
}
