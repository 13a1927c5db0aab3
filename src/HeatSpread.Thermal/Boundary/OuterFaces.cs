using System.Buffers;
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
        foreach (var face in _faces) face.Add(toSink[face.Start..], heat[face.Start..], heat[face.Start..]);
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
    /// <returns>2-norm of the heat that contacts do not bring in, W; null where they bring in none.</returns>
    public double? Put(ConductanceGrid grid, RimFilm? rim, Span<double> heat)
    {
        // Of the outer sheets alone, which are one where the stack is: no other cell meets a film, and of the rim there is nothing to round together.
        int plane = grid.Columns * grid.Rows, lower = grid.CellCount - plane, outer = Math.Min(grid.CellCount, 2 * plane);
        // Lent arrays: of fresh ones the first touch would take longer than all that is done with them.
        double[] toSink = Lent(outer), byFilms = Lent(outer), byContacts = Lent(outer);
        foreach (var face in _faces)
        {
            int at = face.Start == 0 ? 0 : outer - plane;
            face.Add(toSink.AsSpan(at, plane), byFilms.AsSpan(at, plane), byContacts.AsSpan(at, plane));
        }
        foreach (var (unknown, conductance) in rim?.Links ?? [])
        {
            if (unknown < plane) toSink[unknown] += conductance;
            else if (unknown >= lower) toSink[unknown - grid.CellCount + outer] += conductance;
            else grid.ToSink[unknown] = (float)conductance;
        }
        for (int i = 0; i < outer; i++)
        {
            int unknown = UnknownOf(i);
            float rounded = grid.ToSink[unknown] = (float)toSink[i];
            if (toSink[i] > 0) heat[unknown] += byFilms[i] * (rounded / toSink[i]);
        }
        double? made = null;
        if (byContacts.AsSpan(0, outer).ContainsAnyExcept(0.0))
        {
            made = Math.Sqrt(SquareSum(heat));
            for (int i = 0; i < outer; i++)
            {
                int unknown = UnknownOf(i);
                if (byContacts[i] != 0) heat[unknown] += byContacts[i] * (grid.ToSink[unknown] / toSink[i]);
            }
        }
        foreach (double[] lent in new[] { toSink, byFilms, byContacts }) ArrayPool<double>.Shared.Return(lent);
        return made;

        int UnknownOf(int i) => i < plane ? i : i - outer + grid.CellCount;
    }

    private static double[] Lent(int length)
    {
        double[] lent = ArrayPool<double>.Shared.Rent(length);
        Array.Clear(lent, 0, length);
        return lent;
    }

    private static double SquareSum(ReadOnlySpan<double> values)
    {
        double sum = 0;
        foreach (double value in values) sum += value * value;
        return sum;
    }

    /// <summary>Adds what films and contacts take from each cell at a field (rises over ambient), W: the films' own laws, not their tangents.</summary>
    public void AddFlows(double[] field, double[] flows)
    {
        foreach (var face in _faces) face.AddFlows(field, flows);
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
