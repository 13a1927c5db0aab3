using HeatSpread.Thermal;

namespace HeatSpread.Insight;

/// <summary>
/// How the parts heat each other: kelvin at each part for a watt in each. A part is read where its heat enters (the nodes of its network by their shares of the heat, else the mean
/// over its pads by area), so the matrix is symmetric (reciprocity), and <c>AtRest + KelvinPerWatt · watts</c> is the parts' temperature for any watts, exact where the films are
/// linear, along the tangent of the solved state where they depend on temperature.
/// </summary>
public sealed class InfluenceMatrix
{
    private const int BlockSize = 8;

    /// <summary>Leaves some 1e-8 of a part's own K/W: the matrix is then symmetric, and its sums those of a solve, to all digits that are sent.</summary>
    private const double UsualTolerance = 1e-8;

    private InfluenceMatrix(double[] watts, double[] celsius, double[][] kelvinPerWatt, double[] restCelsius, bool isLinear)
    {
        (Watts, Celsius, KelvinPerWatt, RestCelsius, IsLinear) = (watts, celsius, kelvinPerWatt, restCelsius, isLinear);
    }

    /// <summary>Made in each part in the solved state.</summary>
    public IReadOnlyList<double> Watts { get; }

    /// <summary>Of each part in the solved state, where its heat enters.</summary>
    public IReadOnlyList<double> Celsius { get; }

    /// <summary><c>[read][heated]</c>, the parts in the order asked for.</summary>
    public IReadOnlyList<IReadOnlyList<double>> KelvinPerWatt { get; }

    /// <summary>Of each part without any watts in the parts asked for: the ambient, contacts at other temperatures, and the other parts.</summary>
    public IReadOnlyList<double> RestCelsius { get; }

    /// <summary>Whether the films are linear, and the matrix exact for any watts.</summary>
    public bool IsLinear { get; }

    /// <param name="solved">The board.</param>
    /// <param name="parts">Indices of the parts that are read and heated.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    /// <exception cref="ThermalSolveException">A part lies on a piece of the board that has no way out for heat.</exception>
    public static InfluenceMatrix Of(SolvedNetwork solved, IReadOnlyList<int> parts, CancellationToken cancellationToken) => Of(solved, parts, UsualTolerance, cancellationToken);

    /// <param name="solved">The board.</param>
    /// <param name="parts">Indices of the parts that are read and heated.</param>
    /// <param name="tolerance">Relative true residual of each part's field.</param>
    /// <param name="cancellationToken">Ends it.</param>
    internal static InfluenceMatrix Of(SolvedNetwork solved, IReadOnlyList<int> parts, double tolerance, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(solved);
        ArgumentNullException.ThrowIfNull(parts);
        LinearReading[] entries = [.. parts.Select(solved.HeatEntryOf)];
        double[] watts = [.. parts.Select(solved.WattsOf)];
        double[] celsius = [.. entries.Select(entry => solved.Conditions.AmbientCelsius + solved.RiseOf(entry))];
        double[][] matrix = [.. entries.Select(_ => new double[entries.Length])];
        // in blocks: each field is as large as the board, and only its readings are kept
        for (int block = 0; block < entries.Length; block += BlockSize)
        {
            double[][] fields = solved.Adjoints(entries[block..Math.Min(entries.Length, block + BlockSize)], tolerance, cancellationToken);
            for (int heated = 0; heated < fields.Length; heated++)
            {
                for (int read = 0; read < entries.Length; read++) matrix[read][block + heated] = entries[read].On(fields[heated]);
            }
        }
        double[] rest = [.. celsius.Select((c, read) => c - matrix[read].Zip(watts, (kelvinPerWatt, w) => kelvinPerWatt * w).Sum())];
        return new(watts, celsius, matrix, rest, solved.IsLinear);
    }
}
