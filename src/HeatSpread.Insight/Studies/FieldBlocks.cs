using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <param name="Rise">K over the ambient.</param>
/// <param name="Row">Of the stack.</param>
/// <param name="Cell">Of the plan.</param>
internal readonly record struct HottestCell(double Rise, int Row, int Cell);

/// <summary>
/// Finds the hottest cell of a sum of fields exactly, mostly without forming the sum: the cells of each stack row lie in blocks whose least and greatest value in each field bound
/// the sum there (branch and bound), and only blocks whose bound is above the hottest cell found so far are looked into.
/// </summary>
internal sealed class FieldBlocks
{
    private const int BlockSize = 512;

    private readonly SolvedNetwork _network;
    private readonly double[][] _fields;
    private readonly List<(int Row, int FirstCell, int Count)> _blocks = [];
    private readonly double[][] _least;
    private readonly double[][] _greatest;

    /// <param name="network">Whose unknowns the fields are over.</param>
    /// <param name="fields">K over the ambient, or any other fields to be summed.</param>
    public FieldBlocks(SolvedNetwork network, double[][] fields)
    {
        (_network, _fields) = (network, fields);
        int cells = network.Raster.Grid.CellCount;
        for (int row = 0; row < network.Board.Rows.Count; row++)
        {
            for (int cell = 0; cell < cells; cell += BlockSize) _blocks.Add((row, cell, Math.Min(BlockSize, cells - cell)));
        }
        _least = [.. fields.Select(field => new double[_blocks.Count])];
        _greatest = [.. fields.Select(field => new double[_blocks.Count])];
        Parallel.For(0, _blocks.Count, Bound);
        _blocksWithBoard = [.. Enumerable.Range(0, _blocks.Count).Where(block => fields.Length == 0 || _least[0][block] <= _greatest[0][block])];
    }

    private readonly int[] _blocksWithBoard;

    /// <param name="coefficients">One a field.</param>
    public HottestCell Hottest(ReadOnlySpan<double> coefficients)
    {
        var bounds = new double[_blocksWithBoard.Length];
        for (int i = 0; i < bounds.Length; i++) bounds[i] = UpperBound(_blocksWithBoard[i], coefficients);
        int[] order = [.. _blocksWithBoard];
        Array.Sort(bounds, order);
        var hottest = new HottestCell(double.NegativeInfinity, 0, 0);
        for (int i = order.Length - 1; i >= 0 && bounds[i] >= hottest.Rise; i--) hottest = Search(order[i], coefficients, hottest);
        return hottest;
    }

    /// <summary>Of a place that was found, in one of the fields.</summary>
    public double Value(int field, HottestCell place) => _fields[field][_network.UnknownOf(place.Row, place.Cell)];

    private void Bound(int block)
    {
        var (row, firstCell, count) = _blocks[block];
        int first = _network.UnknownOf(row, firstCell);
        for (int field = 0; field < _fields.Length; field++)
        {
            var (least, greatest) = (double.PositiveInfinity, double.NegativeInfinity);
            for (int i = 0; i < count; i++)
            {
                if (_network.Raster.BoardShare[firstCell + i] <= 0) continue;
                double value = _fields[field][first + i];
                (least, greatest) = (Math.Min(least, value), Math.Max(greatest, value));
            }
            (_least[field][block], _greatest[field][block]) = (least, greatest);
        }
    }

    private double UpperBound(int block, ReadOnlySpan<double> coefficients)
    {
        double bound = 0;
        for (int field = 0; field < coefficients.Length; field++) bound += coefficients[field] * (coefficients[field] > 0 ? _greatest : _least)[field][block];
        return bound;
    }

    private HottestCell Search(int block, ReadOnlySpan<double> coefficients, HottestCell hottest)
    {
        var (row, firstCell, count) = _blocks[block];
        int first = _network.UnknownOf(row, firstCell);
        for (int i = 0; i < count; i++)
        {
            double sum = 0;
            for (int field = 0; field < coefficients.Length; field++) sum += coefficients[field] * _fields[field][first + i];
            if (sum > hottest.Rise && _network.Raster.BoardShare[firstCell + i] > 0) hottest = new(sum, row, firstCell + i);
        }
        return hottest;
    }
}
