namespace HeatSpread.Solver.Multigrid;

/// <summary>A column of a level with the nodes linked to it. Arrays over nodes have one entry for each of <see cref="Nodes"/>.</summary>
/// <param name="Column">x.</param>
/// <param name="Row">y.</param>
/// <param name="Nodes">Ascending.</param>
/// <param name="Conductance">By node and sheet, W/K.</param>
/// <param name="Shape">By node and sheet: the column's values with that node at 1 and all else at 0, its share in the column.</param>
internal sealed record LinkedColumn(int Column, int Row, int[] Nodes, double[][] Conductance, double[][] Shape)
{
    public int Color => Multigrid.Shape.ColorOf(Column, Row);

    /// <summary>True where the next coarser grid has this column too.</summary>
    public bool IsCoarse => ((Column | Row) & 1) == 0;

    /// <summary>By sheet, the share that no node has.</summary>
    public double[] Rest()
    {
        var rest = new double[Shape[0].Length];
        for (var s = 0; s < rest.Length; s++)
        {
            rest[s] = 1;
            foreach (var shape in Shape) rest[s] -= shape[s];
            rest[s] = Math.Max(0, rest[s]);
        }

        return rest;
    }

    /// <summary>All linked columns of a network: red ones first, then by row and column.</summary>
    public static LinkedColumn[] All(Conductances source) =>
        [.. NodeLink.ByColumn(source.Links).Select(links => One(source, links[0].Column, links[0].Row, [.. links])).OrderBy(column => column.Color)];

    private static LinkedColumn One(Conductances source, int column, int row, NodeLink[] links)
    {
        int[] nodes = [.. links.Select(l => l.Node).Distinct().Order()];
        double[] all = new double[source.Sheets];
        var conductance = nodes.Select(_ => new double[source.Sheets]).ToArray();
        foreach (var l in links)
        {
            conductance[Array.IndexOf(nodes, l.Node)][l.Sheet] += l.Conductance;
            all[l.Sheet] += l.Conductance;
        }

        return new(column, row, nodes, conductance, [.. conductance.Select(g => Solve(source, column, row, all, g))]);
    }

    /// <summary>T⁻¹ rhs in double, links included in T: they may be a million times stronger than what surrounds them.</summary>
    private static double[] Solve(Conductances source, int column, int row, double[] linked, double[] rhs)
    {
        var values = (double[])rhs.Clone();
        var multiplier = new double[values.Length];
        double fromAbove = 0, carry = 0;
        for (var s = 0; s < values.Length; s++)
        {
            var at = (s * source.SheetStride) + (row * source.RowStride) + column;
            var elsewhere = fromAbove + source.ToSink[at] + linked[s] + Lateral(source, at, column, row);
            double vertical = source.Below[at], pivot = elsewhere + vertical;
            multiplier[s] = pivot > 0 ? vertical / pivot : 0;
            values[s] += carry;
            carry = values[s] * multiplier[s];
            values[s] = pivot > 0 ? values[s] / pivot : 0;
            fromAbove = multiplier[s] * elsewhere;
        }

        for (var s = values.Length - 2; s >= 0; s--) values[s] += multiplier[s] * values[s + 1];
        return values;
    }

    private static double Lateral(Conductances source, int at, int column, int row)
    {
        double sum = 0;
        if (column > 0) sum += source.East[at - 1];
        if (column + 1 < source.Columns) sum += source.East[at];
        if (row > 0) sum += source.North[at - source.RowStride];
        if (row + 1 < source.Rows) sum += source.North[at];
        return sum;
    }
}
