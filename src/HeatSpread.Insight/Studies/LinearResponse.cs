using HeatSpread.Thermal;

namespace HeatSpread.Insight.Studies;

/// <summary>The fields of which all cases on one linear network are sums.</summary>
internal sealed class LinearResponse
{
    private readonly SourceSpace _space = new();

    /// <param name="solver">Solves the fields.</param>
    /// <param name="solved">The network, with the field of one case; that field is taken as the first.</param>
    /// <param name="sources">Heats of all cases.</param>
    public LinearResponse(StudySolver solver, SolvedNetwork solved, IEnumerable<double[]> sources)
    {
        double[] own = StudySolver.Source(solved.Board, solved.Conditions);
        _space.Include([own]);
        bool hasOwn = _space.Basis.Count == 1;
        _space.Include(sources);
        double[][] fields = solver.Fields(solved, [.. _space.Basis.Skip(hasOwn ? 1 : 0)]);
        Fields = hasOwn ? [Scaled(solved, 1 / _space.Coefficients(own)[0]), .. fields] : fields;
        Reader = new(solved, Fields);
    }

    /// <summary>K over the ambient for each heat of the basis.</summary>
    public double[][] Fields { get; }

    public StudyReader Reader { get; }

    /// <summary>By which the fields are to be multiplied for a heat.</summary>
    public double[] Coefficients(double[] source) => _space.Coefficients(source);

    private static double[] Scaled(SolvedNetwork solved, double factor)
    {
        double[] field = solved.RiseOfAll.ToArray();
        for (int i = 0; i < field.Length; i++) field[i] *= factor;
        return field;
    }
}
