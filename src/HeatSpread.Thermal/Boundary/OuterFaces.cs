using HeatSpread.Boards;
using HeatSpread.Solver;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Boundary;

/// <summary>The two outer faces of a board.</summary>
internal sealed class OuterFaces
{
    private readonly OuterFace[] _faces;

    public OuterFaces(ThermalNetwork network, Conditions conditions) =>
        _faces = [new OuterFace(network, conditions, BoardSide.Top), new OuterFace(network, conditions, BoardSide.Bottom)];

    public bool IsLinear => _faces.All(face => face.Law.IsLinear);

    public OuterFace this[BoardSide side] => _faces[(int)side];

    /// <summary>Adds the links of films and contacts to the network's sink links, and what they bring in to the heat.</summary>
    public void Add(Span<double> toSink, Span<double> heat)
    {
        foreach (var face in _faces) face.Add(toSink, heat, heat);
    }

    /// <summary>Adds what contacts bring in where the board is at the ambient, W.</summary>
    /// <param name="sinkRises">K over the ambient, one a contact.</param>
    /// <param name="heat">Of all unknowns.</param>
    public void AddContactHeat(ReadOnlySpan<double> sinkRises, Span<double> heat)
    {
        foreach (var face in _faces) face.AddContactHeat(sinkRises, heat);
    }

    /// <summary>
    /// Makes a network's links to the sink those of films, contacts and rim, and adds what the surroundings bring in to the heat. Each link is rounded to single precision once, and what is brought in there by the same
    /// share: then it is the flow that is rounded. A cold plate far from ambient brings in a million times the board's watts, and takes as much.
    /// </summary>
    /// <param name="grid">The network.</param>
    /// <param name="rim">Null for none.</param>
    /// <param name="heat">W into each unknown, in the end with what the surroundings bring in.</param>
    /// <returns>2-norm of the heat that contacts do not bring in, W.</returns>
    public double Put(ConductanceGrid grid, RimFilm? rim, Span<double> heat)
    {
        double[] toSink = new double[grid.CellCount], byFilms = new double[grid.CellCount], byContacts = new double[grid.CellCount];
        foreach (var face in _faces) face.Add(toSink, byFilms, byContacts);
        rim?.Add(toSink);
        double sum = 0;
        for (int i = 0; i < heat.Length; i++)
        {
            if (i < toSink.Length)
            {
                float rounded = grid.ToSink[i] = (float)toSink[i];
                if (toSink[i] > 0) heat[i] += byFilms[i] * (rounded / toSink[i]);
            }
            sum += heat[i] * heat[i];
            if (i < toSink.Length && byContacts[i] != 0) heat[i] += byContacts[i] * (grid.ToSink[i] / toSink[i]);
        }
        return Math.Sqrt(sum);
    }

    /// <summary>Adds what films and contacts take from each cell at a field (rises over ambient), W: the films' own laws, not their tangents.</summary>
    public void AddFlows(double[] field, double[] flows)
    {
        foreach (var face in _faces) face.AddFlows(field, flows);
    }

    /// <summary>Takes the conductivities of the outer rows anew from the network.</summary>
    public void TakeConductivities()
    {
        foreach (var face in _faces) face.TakeConductivities();
    }

    /// <summary>
    /// First tangents of films that depend on temperature: where a board of one temperature would give off the heat. At the ambient a film of free
    /// convection is nothing, and so would be the way out.
    /// </summary>
    /// <param name="watts">Made in the board.</param>
    /// <param name="rim">W/K given off by the rim.</param>
    public void LineariseAtEvenRise(double watts, double rim)
    {
        if (IsLinear) return;
        double Excess(double rise) => _faces.Sum(face => face.WattsAt(rise)) + rim * rise - watts;
        double low = 0, high = 0;
        for (double step = 1; step < 2000 && Excess(high) < 0; step *= 2) (low, high) = (high, high + step);
        for (double step = 1; step < 128 && Excess(low) > 0; step *= 2) (low, high) = (low - step, low);
        for (int halving = 0; halving < 30; halving++)
        {
            double middle = (low + high) / 2;
            if (Excess(middle) > 0) high = middle;
            else low = middle;
        }
        foreach (var face in _faces.Where(face => !face.Law.IsLinear)) face.Linearise(low);
    }

    /// <summary>Takes the tangents at a field (rises over ambient); tells how far from its last tangent each film was, as a share of what all films give off.</summary>
    public double Relinearise(double[] field)
    {
        double defect = 0, given = 0;
        foreach (var face in _faces)
        {
            var (missed, watts) = face.Relinearise(field);
            (defect, given) = (defect + missed, given + watts);
        }
        return given > 0 ? defect / given : 0;
    }
}
