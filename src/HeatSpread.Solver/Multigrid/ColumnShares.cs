using System.Runtime.CompilerServices;

namespace HeatSpread.Solver.Multigrid;

/// <summary>What share each node has in each column that it is linked to.</summary>
internal sealed class ColumnShares
{
    private readonly ColumnLinks _links;
    private readonly double[] _share, _rest;

    private ColumnShares(ColumnLinks links)
    {
        _links = links;
        (_share, _rest) = ([.. links.Conductance], new double[links.Columns * links.Sheets]);
    }

    /// <summary>Of all pairs, by pair and sheet.</summary>
    public ReadOnlySpan<double> All => _share;

    /// <summary>By sheet: the column's values with the pair's node at 1 and all else at 0.</summary>
    public ReadOnlySpan<double> Of(int pair) => _share.AsSpan(pair * _links.Sheets, _links.Sheets);

    /// <summary>By sheet of a column: the share that no node has.</summary>
    public ReadOnlySpan<double> Rest(int column) => _rest.AsSpan(column * _links.Sheets, _links.Sheets);

    /// <param name="source">The network of <paramref name="level"/>.</param>
    /// <param name="level">Its lateral conductances, as they are in cycles.</param>
    /// <param name="links">Of the nodes.</param>
    /// <param name="team">Shares the columns.</param>
    public static ColumnShares Of(Conductances source, Level level, ColumnLinks links, ThreadTeam team)
    {
        var shares = new ColumnShares(links);
        if (links.Columns == 0) return shares;
        team.ForRows(links.Columns, 32 * links.Sheets, (from, to) =>
        {
            double[] multiplier = new double[links.Sheets], inverse = new double[links.Sheets];
            for (var column = from; column < to; column++)
            {
                shares.Factor(source, level, column, multiplier, inverse);
                for (var pair = links.Start[column]; pair < links.Start[column + 1]; pair++) shares.Solve(pair, multiplier, inverse);
                shares.SetRest(column);
            }
        });
        return shares;
    }

    /// <summary>Of the column's matrix in double, links included: they may be a million times stronger than what surrounds them.</summary>
    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Factor(Conductances source, Level level, int column, double[] multiplier, double[] inverse)
    {
        double fromAbove = 0;
        int x = _links.X[column], y = _links.Y[column];
        for (var s = 0; s < multiplier.Length; s++)
        {
            var at = (s * source.SheetStride) + (y * source.RowStride) + x;
            var elsewhere = fromAbove + source.ToSink[at] + Lateral(level, x, y, s);
            for (var pair = _links.Start[column]; pair < _links.Start[column + 1]; pair++) elsewhere += _links.Of(pair)[s];
            double vertical = source.Below[at], pivot = elsewhere + vertical;
            inverse[s] = pivot > 0 ? 1 / pivot : 0;
            multiplier[s] = vertical * inverse[s];
            fromAbove = multiplier[s] * elsewhere;
        }
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void Solve(int pair, double[] multiplier, double[] inverse)
    {
        var values = _share.AsSpan(pair * _links.Sheets, _links.Sheets);
        double carry = 0;
        for (var s = 0; s < values.Length; s++)
        {
            values[s] += carry;
            carry = values[s] * multiplier[s];
            values[s] *= inverse[s];
        }

        for (var s = values.Length - 2; s >= 0; s--) values[s] += multiplier[s] * values[s + 1];
    }

    [MethodImpl(MethodImplOptions.AggressiveOptimization)]
    private void SetRest(int column)
    {
        var rest = _rest.AsSpan(column * _links.Sheets, _links.Sheets);
        rest.Fill(1);
        for (var pair = _links.Start[column]; pair < _links.Start[column + 1]; pair++)
        {
            var share = Of(pair);
            for (var s = 0; s < rest.Length; s++) rest[s] -= share[s];
        }

        for (var s = 0; s < rest.Length; s++) rest[s] = Math.Max(0, rest[s]);
    }

    private static unsafe double Lateral(Level level, int x, int y, int sheet) =>
        (double)*level.LateralPlace(x, y, -1, 0, sheet) + *level.LateralPlace(x, y, 1, 0, sheet) + *level.LateralPlace(x, y, 0, -1, sheet) + *level.LateralPlace(x, y, 0, 1, sheet);
}
