using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// Where more copper on a layer would cool a part: kelvin saved per area of copper added, to first order. With the field T and the adjoint λ of the part's temperature it is
/// thickness · (k_copper - k_between) · ∇λ·∇T, taken face by face of the cells from the network's own conductances, so that it is its exact derivative by the conductivity of what
/// lies between the copper.
/// <para>
/// It holds for copper that joins the copper beside it: a piece that touches nothing changes the field as little as its own size says. And it is a beginning: once a gap is bridged
/// its jump, and with it the benefit of more copper there, is gone. Negative: copper there makes the part hotter.
/// </para>
/// </summary>
public static class BenefitMap
{
    /// <summary>Cells with no more free room than this are copper.</summary>
    private const double LeastFree = 0.02;

    /// <param name="solved">The board.</param>
    /// <param name="layer">Index into the board's layers.</param>
    /// <param name="adjoint">Of the part's temperature.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>K/m² for each cell of the plan, <c>[row * Columns + column]</c>: NaN outside the board, 0 on copper and where <see cref="CopperRoom"/> leaves no room.</returns>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static double[] Of(SolvedNetwork solved, int layer, ReadOnlySpan<double> adjoint, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(solved);
        double[] benefit = Unruled(solved, layer, adjoint);
        bool[] room = CopperRoom.On(solved.Board, solved.Raster, layer, cancellationToken);
        for (int cell = 0; cell < benefit.Length; cell++)
        {
            if (!room[cell] && !double.IsNaN(benefit[cell])) benefit[cell] = 0;
        }
        return benefit;
    }

    /// <summary>As <see cref="Of"/>, whatever the nets.</summary>
    internal static double[] Unruled(SolvedNetwork solved, int layer, ReadOnlySpan<double> adjoint)
    {
        var (grid, copper, share) = (solved.Raster.Grid, solved.Raster.Layers[layer], solved.Raster.BoardShare);
        int row = solved.Board.Layers[layer].Row;
        var material = solved.Board.Rows[row];
        ReadOnlySpan<double> rise = solved.RowRise(row), kelvinPerWatt = solved.RowOf(row, adjoint);
        double ratio = material.Fill.InPlane / material.CopperConductivity;
        double gain = material.Thickness * (material.CopperConductivity - material.Fill.InPlane);
        var benefit = new double[grid.CellCount];
        for (int cell = 0; cell < benefit.Length; cell++)
        {
            int east = cell + 1, north = cell + grid.Columns;
            if (east % grid.Columns != 0) AddFace(cell, east, copper.FillEast[cell], grid.PitchY / grid.PitchX, rise, kelvinPerWatt);
            if (north < benefit.Length) AddFace(cell, north, copper.FillNorth[cell], grid.PitchX / grid.PitchY, rise, kelvinPerWatt);
        }
        for (int cell = 0; cell < benefit.Length; cell++) benefit[cell] = share[cell] <= 0 ? double.NaN : Free(cell) <= LeastFree ? 0 : benefit[cell];
        return benefit;

        double Free(int cell) => Math.Max(0, share[cell] - copper.CopperShare[cell]);

        // What lies between the two middles and is not copper is shared by the cells as their room is.
        void AddFace(int first, int second, double fill, double squares, ReadOnlySpan<double> t, ReadOnlySpan<double> k)
        {
            double room = Free(first) + Free(second);
            if (share[first] <= 0 || share[second] <= 0 || room <= LeastFree) return;
            double joined = 2.0 * share[first] * share[second] / (share[first] + share[second]); // as the network joins cells that are board only in part
            double between = (1 - ratio * fill) / (1 - ratio); // the derivative of a face whose way is copper in part: that part does not change
            double perArea = gain * squares * fill * between * joined * (k[first] - k[second]) * (t[first] - t[second]) / (room * grid.CellArea);
            benefit[first] += perArea;
            benefit[second] += perArea;
        }
    }
}
