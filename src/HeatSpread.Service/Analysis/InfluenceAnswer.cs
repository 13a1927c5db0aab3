using HeatSpread.Boards;
using HeatSpread.Insight;

namespace HeatSpread.Service.Analysis;

/// <summary>
/// How parts heat each other. For any watts of these parts their temperatures are <c>restCelsius + kelvinPerWatt · watts</c>: exact where <c>linear</c>, else along the tangent of the solved state.
/// </summary>
/// <param name="Solution">Id.</param>
/// <param name="Linear">Whether it is exact: films and currents do not depend on temperature.</param>
/// <param name="Parts">In the order of rows and columns.</param>
/// <param name="KelvinPerWatt"><c>[read][heated]</c>; symmetric, for a part is read where its heat enters.</param>
internal sealed record InfluenceAnswer(string Solution, bool Linear, IReadOnlyList<InfluencePart> Parts, IReadOnlyList<IReadOnlyList<double>> KelvinPerWatt)
{
    public static InfluenceAnswer Of(string id, IReadOnlyList<Part> parts, InfluenceMatrix matrix) =>
        new(id, matrix.IsLinear, [.. parts.Select((part, i) => new InfluencePart(part.Id, matrix.Watts[i], matrix.Celsius[i], matrix.RestCelsius[i], ReadAt(part)))], matrix.KelvinPerWatt);

    private static string ReadAt(Part part)
    {
        if (part.Network is not { } inner) return part.Terminals.Count > 0 ? "mean over the pads" : "mean under the body";
        string[] heated = [.. inner.Nodes.Where((_, node) => inner.HeatShares[node] != 0)];
        return heated.Length == 1 ? heated[0] : "mean of " + string.Join(", ", heated) + " by their shares of the heat";
    }
}

/// <param name="Id">Of the part.</param>
/// <param name="Watts">In the solution.</param>
/// <param name="Celsius">Where its heat enters, in the solution.</param>
/// <param name="RestCelsius">The same without any watts in the parts listed.</param>
/// <param name="ReadAt">Where that is: the node, or the pads.</param>
internal sealed record InfluencePart(string Id, double Watts, double Celsius, double RestCelsius, string ReadAt);
