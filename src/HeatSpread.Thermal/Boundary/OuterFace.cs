using HeatSpread.Boards;
using HeatSpread.Thermal.Network;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Boundary;

/// <summary>A contact's hold on one cell.</summary>
/// <param name="Contact">Index into the conditions' contacts.</param>
/// <param name="Cell">Of the plan.</param>
/// <param name="Area">m².</param>
/// <param name="Series">W/(m²·K) from the cell's centre to the sink.</param>
/// <param name="SinkRise">K over the ambient.</param>
internal readonly record struct ContactCell(int Contact, int Cell, double Area, double Series, double SinkRise)
{
    /// <summary>W/K.</summary>
    public double Conductance => Area * Series;
}

/// <summary>
/// One outer face: films and contacts as links of the outer sheet's cells to the sink, each in series with half the outer row. A film that
/// depends on temperature is replaced by its tangent at the last field (Newton's method).
/// </summary>
internal sealed class OuterFace
{
    /// <summary>Newton steps on one cell's face; two or three are usual, as half a row conducts far better than a film.</summary>
    private const int MostSteps = 40;

    private readonly double _half; // of the outer row, m
    private readonly double _ambient;
    private readonly ThermalNetwork _network;
    private readonly double[] _filmArea;
    private readonly double[] _toFace; // W/(m²·K) from the cell's centre to the face
    private readonly double[] _slope;
    private readonly double[] _flux; // of the tangent, at ambient: what the film gives off at zero rise, W/m²
    private readonly List<ContactCell> _contacts = [];

    public OuterFace(ThermalNetwork network, Conditions conditions, BoardSide side)
    {
        _network = network;
        _ambient = conditions.AmbientCelsius;
        Law = SurfaceLaw.Of(side == BoardSide.Top ? conditions.Top : conditions.Bottom, conditions, network.Board.Outline, network.Raster.Grid);
        int sheet = side == BoardSide.Top ? 0 : network.Stack.Sheets.Count - 1;
        Start = sheet * network.PlaneCount;
        _half = network.Stack.Sheets[sheet].Thickness / 2;
        var share = network.Raster.BoardShareArray;
        double cellArea = network.Raster.Grid.CellArea;
        _filmArea = [.. share.Select(s => s * cellArea)];
        _toFace = new double[share.Length];
        for (int cell = 0; cell < share.Length; cell++) _toFace[cell] = ToFace(cell);
        AddContacts(conditions, side);
        _slope = new double[share.Length];
        _flux = new double[share.Length];
        TakeTangents(_ => 0);
    }

    public SurfaceLaw Law { get; }

    /// <summary>The first unknown of its sheet.</summary>
    public int Start { get; }

    /// <summary>m² of each cell under the film: what no contact covers.</summary>
    public IReadOnlyList<double> FilmArea => _filmArea;

    public IReadOnlyList<ContactCell> Contacts => _contacts;

    /// <summary>Takes the conductivity of the outer row anew from the network: half of it is in series with films and contacts.</summary>
    public void TakeConductivities()
    {
        for (int i = 0; i < _contacts.Count; i++)
        {
            var held = _contacts[i];
            _contacts[i] = held with { Series = 1 / (1 / held.Series - 1 / _toFace[held.Cell] + 1 / ToFace(held.Cell)) };
        }
        for (int cell = 0; cell < _toFace.Length; cell++) _toFace[cell] = ToFace(cell);
    }

    private double ToFace(int cell) => _network.Raster.BoardShareArray[cell] > 0 ? _network.ThroughConductivity[Start + cell] / _half : 0;

    /// <summary>Adds the links of films and contacts, and what films and contacts bring in, each to heat of its own, which may be the same: all over the face's own cells.</summary>
    public void Add(Span<double> toSink, Span<double> byFilms, Span<double> byContacts)
    {
        for (int cell = 0; cell < _filmArea.Length; cell++)
        {
            if (_filmArea[cell] <= 0 || _toFace[cell] <= 0) continue;
            double share = _toFace[cell] / (_toFace[cell] + _slope[cell]);
            toSink[cell] += _filmArea[cell] * _slope[cell] * share;
            byFilms[cell] -= _filmArea[cell] * _flux[cell] * share;
        }
        foreach (var held in _contacts)
        {
            toSink[held.Cell] += held.Conductance;
            byContacts[held.Cell] += held.Conductance * held.SinkRise;
        }
    }

    public void AddContactHeat(ReadOnlySpan<double> sinkRises, Span<double> heat)
    {
        foreach (var held in _contacts) heat[Start + held.Cell] += held.Conductance * sinkRises[held.Contact];
    }

    /// <summary>W given off by film and contacts where the whole face has one temperature.</summary>
    public double WattsAt(double rise)
    {
        var grid = _network.Raster.Grid;
        double watts = _filmArea.Sum() * Law.At(_ambient + rise, grid.Centre(grid.Columns / 2, grid.Rows / 2)).WattsPerSquareMeter;
        foreach (var held in _contacts) watts += held.Conductance * (rise - held.SinkRise);
        return watts;
    }

    /// <summary>Takes the tangents at one temperature of the whole face.</summary>
    public void Linearise(double rise) => TakeTangents(_ => rise);

    /// <summary>Takes the tangents at a field's face temperatures.</summary>
    /// <returns>How far the film is from its last tangent there, and what it gives off or takes up, W in all.</returns>
    public (double Missed, double Given) Relinearise(double[] field) => TakeTangents(cell => FaceRise(cell, field), exact: Law.IsLinear);

    /// <summary>°C of each cell's outer face, NaN outside the board.</summary>
    public float[] Celsius(ReadOnlySpan<double> field)
    {
        var celsius = new float[_filmArea.Length];
        var contactFlow = new double[_filmArea.Length];
        foreach (var held in _contacts) contactFlow[held.Cell] += held.Area * held.Series * (field[Start + held.Cell] - held.SinkRise);
        var share = _network.Raster.BoardShareArray;
        for (int cell = 0; cell < celsius.Length; cell++)
        {
            double area = share[cell] * _network.Raster.Grid.CellArea;
            double flow = _filmArea[cell] * (_flux[cell] + _slope[cell] * FaceRise(cell, field)) + contactFlow[cell];
            celsius[cell] = area <= 0 ? float.NaN : (float)(_ambient + field[Start + cell] - flow / (area * _toFace[cell]));
        }
        return celsius;
    }

    /// <summary>W given off by the film.</summary>
    public double FilmWatts(ReadOnlySpan<double> field)
    {
        double watts = 0;
        for (int cell = 0; cell < _filmArea.Length; cell++)
        {
            if (_filmArea[cell] > 0) watts += _filmArea[cell] * (_flux[cell] + _slope[cell] * FaceRise(cell, field));
        }
        return watts;
    }

    /// <summary>W that a contact takes from one cell.</summary>
    public double Watts(ContactCell held, ReadOnlySpan<double> field) => held.Conductance * (field[Start + held.Cell] - held.SinkRise);

    /// <summary>K over the ambient of the face under a contact.</summary>
    public double ContactRise(ContactCell held, ReadOnlySpan<double> field) =>
        field[Start + held.Cell] - held.Series * (field[Start + held.Cell] - held.SinkRise) / _toFace[held.Cell];

    /// <summary>K over the ambient of the face under the film.</summary>
    public double FaceRise(int cell, ReadOnlySpan<double> field) => (_toFace[cell] * field[Start + cell] - _flux[cell]) / (_toFace[cell] + _slope[cell]);

    /// <summary>Adds what film and contacts take from each cell at a field, W: the film's own law, not its tangent.</summary>
    public void AddFlows(double[] field, double[] flows)
    {
        var grid = _network.Raster.Grid;
        Parallel.For(0, grid.Rows, row =>
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                int cell = row * grid.Columns + column;
                if (_filmArea[cell] > 0 && _toFace[cell] > 0) flows[Start + cell] += _filmArea[cell] * FilmFlux(cell, field[Start + cell], grid.Centre(column, row));
            }
        });
        foreach (var held in _contacts) flows[Start + held.Cell] += held.Conductance * (field[Start + held.Cell] - held.SinkRise);
    }

    /// <summary>W/m² through half the outer row and the film, where both carry the same.</summary>
    private double FilmFlux(int cell, double rise, Point at)
    {
        if (Law.IsLinear) return _toFace[cell] / (_toFace[cell] + _slope[cell]) * (_flux[cell] + _slope[cell] * rise);
        double face = rise;
        for (int step = 0; step < MostSteps; step++)
        {
            var flux = Law.At(_ambient + face, at);
            double correction = (_toFace[cell] * (rise - face) - flux.WattsPerSquareMeter) / (_toFace[cell] + flux.Slope);
            face += correction;
            if (Math.Abs(correction) <= 1e-12 * (1 + Math.Abs(face))) break;
        }
        return _toFace[cell] * (rise - face);
    }

    /// <param name="riseOf">Of each cell's face, K over the ambient.</param>
    /// <param name="exact">The tangents are the law itself already: they stay.</param>
    private (double Missed, double Given) TakeTangents(Func<int, double> riseOf, bool exact = false)
    {
        var grid = _network.Raster.Grid;
        var (missed, given) = (new double[grid.Rows], new double[grid.Rows]); // summed in a fixed order, whatever the threads
        Parallel.For(0, grid.Rows, row =>
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                int cell = row * grid.Columns + column;
                if (_filmArea[cell] <= 0) continue;
                double rise = riseOf(cell), tangent = _flux[cell] + _slope[cell] * rise;
                if (exact)
                {
                    given[row] += _filmArea[cell] * Math.Abs(tangent);
                    continue;
                }
                var flux = Law.At(_ambient + rise, grid.Centre(column, row));
                // What radiation brings in and convection takes away passes all the same.
                given[row] += _filmArea[cell] * (Math.Abs(flux.Convection) + Math.Abs(flux.Radiation));
                _slope[cell] = flux.Slope;
                _flux[cell] = flux.WattsPerSquareMeter - flux.Slope * rise;
                missed[row] += _filmArea[cell] * Math.Abs(flux.WattsPerSquareMeter - tangent);
            }
        });
        return (missed.Sum(), given.Sum());
    }

    private void AddContacts(Conditions conditions, BoardSide side)
    {
        double cellArea = _network.Raster.Grid.CellArea;
        for (int contact = 0; contact < conditions.Contacts.Count; contact++)
        {
            var given = conditions.Contacts[contact];
            if (given.Side != side) continue;
            foreach (var covered in RegionCover.CellsOf(given.Area, _network.Raster.Grid))
            {
                // What an earlier contact covers is taken.
                double area = Math.Min(covered.Share * cellArea, _filmArea[covered.Cell]);
                if (area <= 0) continue;
                _filmArea[covered.Cell] -= area;
                double series = 1 / (1 / given.WattsPerSquareMeterKelvin + 1 / _toFace[covered.Cell]);
                _contacts.Add(new ContactCell(contact, covered.Cell, area, series, given.SinkCelsius - _ambient));
            }
        }
    }
}
