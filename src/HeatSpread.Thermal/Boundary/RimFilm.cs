using HeatSpread.Thermal.Network;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Boundary;

/// <summary>The film on the rim of the outline and of its openings: links of every sheet's rim cells to the sink.</summary>
internal sealed class RimFilm
{
    private readonly List<(int Unknown, double Conductance)> _links = [];

    /// <summary>W/(m²·K).</summary>
    public double Film { get; }

    /// <summary>Of the whole rim, m².</summary>
    public double Area { get; }

    /// <summary>W/K to the sink, in all.</summary>
    public double Conductance => _links.Sum(link => link.Conductance);

    /// <param name="network">The board.</param>
    /// <param name="film">W/(m²·K), at least 0.</param>
    public RimFilm(ThermalNetwork network, double film)
    {
        var rim = RimLength.Of(network.Board.Outline, network.Raster.Grid, network.Raster.BoardShareArray);
        Film = film;
        Area = rim.Values.Sum(cell => cell.Length) * network.Stack.Sheets.Sum(sheet => sheet.Thickness);
        if (film <= 0) return;
        for (int sheet = 0; sheet < network.Stack.Sheets.Count; sheet++)
        {
            var (row, layer, thickness) = network.Stack.Sheets[sheet];
            var material = network.Board.Rows[row];
            foreach (var (cell, (length, distance)) in rim)
            {
                double copper = layer >= 0 ? Math.Min(1, network.Raster.Layers[layer].CopperShare[cell] / network.Raster.BoardShareArray[cell]) : 0;
                double inPlane = material.Fill.InPlane + copper * (layer >= 0 ? material.CopperConductivity - material.Fill.InPlane : 0);
                _links.Add((sheet * network.PlaneCount + cell, length * thickness / (1 / film + distance / inPlane)));
            }
        }
    }

    /// <summary>W/K to the sink, at most one link an unknown.</summary>
    public IReadOnlyList<(int Unknown, double Conductance)> Links => _links;

    public void Add(Span<double> toSink)
    {
        foreach (var (unknown, conductance) in _links) toSink[unknown] += conductance;
    }

    /// <summary>Adds what the rim takes from each cell at a field (rises over ambient), W.</summary>
    public void AddFlows(ReadOnlySpan<double> field, Span<double> flows)
    {
        foreach (var (unknown, conductance) in _links) flows[unknown] += conductance * field[unknown];
    }

    public double Watts(ReadOnlySpan<double> field)
    {
        double watts = 0;
        foreach (var (unknown, conductance) in _links) watts += conductance * field[unknown];
        return watts;
    }
}
