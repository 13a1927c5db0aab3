using HeatSpread.Boards;
using HeatSpread.Thermal.Network;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Boundary;

/// <summary>A contact's hold on one cell.</summary>
/// <param name="Contact">Index into the conditions' contacts.</param>
/// <param name="Cell">Of the plan.</param>
/// <param name="Area">m².</param>
/// <param name="Film">W/(m²·K) from the face to the sink.</param>
/// <param name="SinkRise">K over the ambient.</param>
internal readonly record struct ContactCell(int Contact, int Cell, double Area, double Film, double SinkRise);

/// <summary>
/// One outer face: films and contacts as links of the outer sheet's cells to the sink, each in series with half the outer row. A film that
/// depends on temperature is replaced by its tangent at the last field (Newton's method). By the cell it holds only what no formula gives: memory that is touched for the first time
/// costs more than what is computed here.
/// </summary>
internal sealed class OuterFace
{
    /// <summary>Newton steps on one cell's face; two or three are usual, as half a row conducts far better than a film.</summary>
    private const int MostSteps = 40;

    private readonly double _half; // of the outer row, m
    private readonly double _ambient, _cellArea;
    private readonly ThermalNetwork _network;
    private readonly float[] _share;
    private readonly double[]? _filmArea; // m²; null where there is no contact
    private readonly SurfaceFlux _atAmbient; // of a law that is linear
    private readonly double[] _slope = []; // of the others
    private readonly double[] _flux = []; // of their tangents, at ambient: what the film gives off at zero rise, W/m²
    private readonly List<ContactCell> _contacts = [];

    public OuterFace(ThermalNetwork network, Conditions conditions, BoardSide side)
    {
        (_network, _ambient, _share, _cellArea) = (network, conditions.AmbientCelsius, network.Raster.BoardShareArray, network.Raster.Grid.CellArea);
        Law = SurfaceLaw.Of(side == BoardSide.Top ? conditions.Top : conditions.Bottom, conditions, network.Board.Outline, network.Raster.Grid);
        int sheet = side == BoardSide.Top ? 0 : network.Stack.Sheets.Count - 1;
        Start = sheet * network.PlaneCount;
        _half = network.Stack.Sheets[sheet].Thickness / 2;
        if (conditions.Contacts.Any(contact => contact.Side == side))
        {
            _filmArea = [.. _share.Select(share => share * _cellArea)];
            AddContacts(conditions, side);
        }
        if (Law.IsLinear)
        {
            _atAmbient = Law.At(_ambient, default);
            return;
        }
        (_slope, _flux) = (new double[_share.Length], new double[_share.Length]);
        TakeTangents(_ => 0);
    }

    public SurfaceLaw Law { get; }

    /// <summary>The first unknown of its sheet.</summary>
    public int Start { get; }

    /// <summary>Cells of the plan.</summary>
    public int CellCount => _share.Length;

    public IReadOnlyList<ContactCell> Contacts => _contacts;

    /// <summary>m² of a cell under the film: what no contact covers.</summary>
    public double FilmArea(int cell) => _filmArea is null ? _share[cell] * _cellArea : _filmArea[cell];

    /// <summary>W/(m²·K) from a cell's centre to the face: half the outer row. At the network's conductivity as it is.</summary>
    private double ToFace(int cell) => _share[cell] > 0 ? _network.ThroughConductivity[Start + cell] / _half : 0;

    private double Slope(int cell) => _slope.Length == 0 ? _atAmbient.Slope : _slope[cell];

    private double Flux(int cell) => _flux.Length == 0 ? _atAmbient.WattsPerSquareMeter : _flux[cell];

    /// <summary>W/(m²·K) from the centre of a contact's cell to the sink.</summary>
    private double Series(ContactCell held) => 1 / (1 / held.Film + 1 / ToFace(held.Cell));

    /// <summary>W/K of a contact's cell.</summary>
    public double Conductance(ContactCell held) => held.Area * Series(held);

    /// <summary>The film's link of a cell to the sink, W/K, and what it brings in where the board is at the ambient, W.</summary>
    public (double Conductance, double Heat) FilmLink(int cell)
    {
        double area = FilmArea(cell), toFace = ToFace(cell);
        if (area <= 0 || toFace <= 0) return default;
        double slope = Slope(cell), share = toFace / (toFace + slope);
        return (area * slope * share, -area * Flux(cell) * share);
    }

    /// <summary>Adds the links of films and contacts, and what films and contacts bring in, each to heat of its own, which may be the same: all over the face's own cells.</summary>
    public void Add(Span<double> toSink, Span<double> byFilms, Span<double> byContacts)
    {
        for (int cell = 0; cell < _share.Length; cell++)
        {
            var (conductance, heat) = FilmLink(cell);
            toSink[cell] += conductance;
            byFilms[cell] += heat;
        }
        foreach (var held in _contacts)
        {
            double conductance = Conductance(held);
            toSink[held.Cell] += conductance;
            byContacts[held.Cell] += conductance * held.SinkRise;
        }
    }

    public void AddContactHeat(ReadOnlySpan<double> sinkRises, Span<double> heat)
    {
        foreach (var held in _contacts) heat[Start + held.Cell] += Conductance(held) * sinkRises[held.Contact];
    }

    /// <summary>W given off by film and contacts where the whole face has one temperature.</summary>
    public double WattsAt(double rise)
    {
        var grid = _network.Raster.Grid;
        double area = 0;
        for (int cell = 0; cell < _share.Length; cell++) area += FilmArea(cell);
        double watts = area * Law.At(_ambient + rise, grid.Centre(grid.Columns / 2, grid.Rows / 2)).WattsPerSquareMeter;
        foreach (var held in _contacts) watts += Conductance(held) * (rise - held.SinkRise);
        return watts;
    }

    /// <summary>Takes the tangents at one temperature of the whole face.</summary>
    public void Linearise(double rise) => TakeTangents(_ => rise);

    /// <summary>Takes the tangents at a field's face temperatures.</summary>
    /// <returns>How far the film is from its last tangent there, and what it gives off or takes up, W in all.</returns>
    public (double Missed, double Given) Relinearise(double[] field) => TakeTangents(cell => FaceRise(cell, field));

    /// <summary>°C of each cell's outer face, NaN outside the board.</summary>
    public float[] Celsius(ReadOnlySpan<double> field)
    {
        var celsius = new float[_share.Length];
        for (int cell = 0; cell < celsius.Length; cell++)
        {
            double area = _share[cell] * _cellArea;
            if (area > 0) celsius[cell] = Celsius(cell, field, FilmWatts(cell, field));
            else celsius[cell] = float.NaN;
        }
        if (_contacts.Count == 0) return celsius;
        var flows = new double[_share.Length];
        foreach (var held in _contacts) flows[held.Cell] += Watts(held, field);
        for (int cell = 0; cell < celsius.Length; cell++)
        {
            if (flows[cell] != 0) celsius[cell] = Celsius(cell, field, FilmWatts(cell, field) + flows[cell]);
        }
        return celsius;
    }

    /// <summary>°C of a cell's outer face through which so many watts leave.</summary>
    private float Celsius(int cell, ReadOnlySpan<double> field, double watts) => (float)(_ambient + field[Start + cell] - watts / (_share[cell] * _cellArea * ToFace(cell)));

    /// <summary>W given off by the film.</summary>
    public double FilmWatts(ReadOnlySpan<double> field)
    {
        double watts = 0;
        for (int cell = 0; cell < _share.Length; cell++) watts += FilmWatts(cell, field);
        return watts;
    }

    private double FilmWatts(int cell, ReadOnlySpan<double> field)
    {
        double area = FilmArea(cell);
        return area > 0 ? area * (Flux(cell) + Slope(cell) * FaceRise(cell, field)) : 0;
    }

    /// <summary>W that a contact takes from one cell.</summary>
    public double Watts(ContactCell held, ReadOnlySpan<double> field) => Conductance(held) * (field[Start + held.Cell] - held.SinkRise);

    /// <summary>K over the ambient of the face under a contact.</summary>
    public double ContactRise(ContactCell held, ReadOnlySpan<double> field) =>
        field[Start + held.Cell] - Series(held) * (field[Start + held.Cell] - held.SinkRise) / ToFace(held.Cell);

    /// <summary>K over the ambient of the face under the film.</summary>
    public double FaceRise(int cell, ReadOnlySpan<double> field)
    {
        double toFace = ToFace(cell);
        return (toFace * field[Start + cell] - Flux(cell)) / (toFace + Slope(cell));
    }

    /// <summary>Adds what film and contacts take from each cell at a field, W: the film's own law, not its tangent.</summary>
    public void AddFlows(double[] field, double[] flows)
    {
        var grid = _network.Raster.Grid;
        Parallel.For(0, grid.Rows, row =>
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                int cell = row * grid.Columns + column;
                double area = FilmArea(cell);
                if (area > 0 && ToFace(cell) > 0) flows[Start + cell] += area * FilmFlux(cell, field[Start + cell], grid.Centre(column, row));
            }
        });
        foreach (var held in _contacts) flows[Start + held.Cell] += Watts(held, field);
    }

    /// <summary>W/m² through half the outer row and the film, where both carry the same.</summary>
    private double FilmFlux(int cell, double rise, Point at)
    {
        double toFace = ToFace(cell);
        if (Law.IsLinear) return toFace / (toFace + Slope(cell)) * (Flux(cell) + Slope(cell) * rise);
        double face = rise;
        for (int step = 0; step < MostSteps; step++)
        {
            var flux = Law.At(_ambient + face, at);
            double correction = (toFace * (rise - face) - flux.WattsPerSquareMeter) / (toFace + flux.Slope);
            face += correction;
            if (Math.Abs(correction) <= 1e-12 * (1 + Math.Abs(face))) break;
        }
        return toFace * (rise - face);
    }

    /// <param name="riseOf">Of each cell's face, K over the ambient.</param>
    private (double Missed, double Given) TakeTangents(Func<int, double> riseOf)
    {
        var grid = _network.Raster.Grid;
        var (missed, given) = (new double[grid.Rows], new double[grid.Rows]); // summed in a fixed order, whatever the threads
        Parallel.For(0, grid.Rows, row =>
        {
            for (int column = 0; column < grid.Columns; column++)
            {
                int cell = row * grid.Columns + column;
                double area = FilmArea(cell);
                if (area <= 0) continue;
                double rise = riseOf(cell), tangent = Flux(cell) + Slope(cell) * rise;
                if (Law.IsLinear)
                {
                    given[row] += area * Math.Abs(tangent); // its tangent is the law itself
                    continue;
                }
                var flux = Law.At(_ambient + rise, grid.Centre(column, row));
                // What radiation brings in and convection takes away passes all the same.
                given[row] += area * (Math.Abs(flux.Convection) + Math.Abs(flux.Radiation));
                _slope[cell] = flux.Slope;
                _flux[cell] = flux.WattsPerSquareMeter - flux.Slope * rise;
                missed[row] += area * Math.Abs(flux.WattsPerSquareMeter - tangent);
            }
        });
        return (missed.Sum(), given.Sum());
    }

    private void AddContacts(Conditions conditions, BoardSide side)
    {
        for (int contact = 0; contact < conditions.Contacts.Count; contact++)
        {
            var given = conditions.Contacts[contact];
            if (given.Side != side) continue;
            foreach (var covered in RegionCover.CellsOf(given.Area, _network.Raster.Grid))
            {
                // What an earlier contact covers is taken.
                double area = Math.Min(covered.Share * _cellArea, FilmArea(covered.Cell));
                if (area <= 0) continue;
                _filmArea![covered.Cell] -= area;
                _contacts.Add(new ContactCell(contact, covered.Cell, area, given.WattsPerSquareMeterKelvin, given.SinkCelsius - _ambient));
            }
        }
    }
}
