using HeatSpread.Boards;
using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <summary>Reads what a study reports off sums of fields on one network.</summary>
internal sealed class StudyReader
{
    private readonly SolvedNetwork _network;
    private readonly double[][] _fields;
    private readonly IReadOnlyList<int>[] _places;
    private readonly LinearReading[] _probes;
    private readonly FieldBlocks _blocks;

    /// <param name="network">Whose unknowns the fields are over.</param>
    /// <param name="fields">K over the ambient.</param>
    public StudyReader(SolvedNetwork network, double[][] fields)
    {
        (_network, _fields, _blocks) = (network, fields, new FieldBlocks(network, fields));
        var board = network.Board;
        _places = [.. Enumerable.Range(0, board.Parts.Count).Select(network.PlacesOf)];
        _probes = [.. board.Probes.Select(probe => FieldSample.ReadingAt(network, board.Layers[probe.Layer].Row, probe.At))];
    }

    /// <summary>Of one field, as it was solved.</summary>
    public static StudyReader Of(SolvedNetwork solved) => new(solved, [solved.RiseOfAll.ToArray()]);

    public FieldBlocks Blocks => _blocks;

    /// <summary>The unknowns of which the hottest is a part's temperature.</summary>
    public IReadOnlyList<int> PlacesOf(int part) => _places[part];

    /// <summary>A field at an unknown.</summary>
    public double Value(int field, int unknown) => _fields[field][unknown];

    /// <param name="index">Of the point.</param>
    /// <param name="coefficients">One a field.</param>
    /// <param name="conditions">Of the point.</param>
    /// <param name="isSuperposed">It was not solved itself.</param>
    public PointResult Read(int index, double[] coefficients, Conditions conditions, bool isSuperposed)
    {
        var (board, ambient) = (_network.Board, conditions.AmbientCelsius);
        var hottest = _blocks.Hottest(coefficients);
        var grid = _network.Raster.Grid;
        double[] parts = [.. _places.Select(places => ambient + Hottest(places, coefficients))];
        double[] probes = [.. _probes.Select(probe => ambient + coefficients.Select((coefficient, field) => coefficient * probe.On(_fields[field])).Sum())];
        double peak = ambient + hottest.Rise;
        bool pass = !(peak > conditions.BoardLimitCelsius) && !board.Parts.Zip(parts).Any(each => each.Second > each.First.LimitCelsius);
        return new()
        {
            Index = index,
            PeakCelsius = peak,
            PeakRow = FieldReadings.RowName(board, hottest.Row),
            PeakAt = grid.Centre(hottest.Cell % grid.Columns, hottest.Cell / grid.Columns),
            PartCelsius = parts,
            ProbeCelsius = probes,
            Pass = pass,
            IsSuperposed = isSuperposed,
        };
    }

    private double Hottest(IReadOnlyList<int> places, double[] coefficients)
    {
        double hottest = double.NegativeInfinity;
        foreach (int unknown in places) hottest = Math.Max(hottest, Sum(unknown, coefficients));
        return hottest;
    }

    private double Sum(int unknown, double[] coefficients)
    {
        double sum = 0;
        for (int field = 0; field < coefficients.Length; field++) sum += coefficients[field] * _fields[field][unknown];
        return sum;
    }
}
