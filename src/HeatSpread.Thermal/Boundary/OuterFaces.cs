using HeatSpread.Boards;
using HeatSpread.Thermal.Network;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Boundary;

/// <summary>
/// The two outer faces: films and contacts as links of the outer sheets' cells to the sink, each in series with half the outer row. A film that
/// depends on temperature is replaced by its tangent at the last field (Newton's method).
/// </summary>
internal sealed class OuterFaces
{
    private readonly ThermalNetwork _network;
    private readonly Conditions _conditions;
    private readonly Face[] _faces;

    public OuterFaces(ThermalNetwork network, Conditions conditions)
    {
        _network = network;
        _conditions = conditions;
        _faces = [new Face(network, conditions, BoardSide.Top), new Face(network, conditions, BoardSide.Bottom)];
    }

    public bool IsLinear => _faces.All(face => face.Law.IsLinear);

    /// <summary>Adds the links of films and contacts to the network's sink links, and what they bring in to the heat.</summary>
    public void Add(Span<float> toSink, Span<double> heat)
    {
        foreach (var face in _faces) face.Add(toSink, heat);
    }

    /// <summary>Takes the faces' temperatures from a field (rises over ambient); tells how far from its tangent each film is, W in all.</summary>
    public double Relinearise(ReadOnlySpan<double> field)
    {
        double defect = 0;
        foreach (var face in _faces) defect += face.Relinearise(field);
        return defect;
    }

    /// <summary>°C of each cell's outer face, NaN outside the board.</summary>
    public float[] Celsius(BoardSide side, ReadOnlySpan<double> field) => _faces[(int)side].Celsius(field);

    /// <summary>W given off by the film of a side.</summary>
    public double FilmWatts(BoardSide side, ReadOnlySpan<double> field) => _faces[(int)side].FilmWatts(field);

    /// <summary>W through each contact, in the conditions' order.</summary>
    public double[] ContactWatts(ReadOnlySpan<double> field)
    {
        var watts = new double[_conditions.Contacts.Count];
        foreach (var face in _faces) face.AddContactWatts(field, watts);
        return watts;
    }

    /// <summary>One side.</summary>
    private sealed class Face
    {
        private readonly int _start;
        private readonly double _ambient;
        private readonly ThermalNetwork _network;
        private readonly double[] _filmArea;
        private readonly double[] _toFace; // W/(m²·K) from the cell's centre to the face
        private readonly double[] _slope;
        private readonly double[] _flux; // of the tangent, at ambient: what the film gives off at zero rise, W/m²
        private readonly List<(int Contact, int Cell, double Area, double Series, double SinkRise)> _contacts = [];

        public Face(ThermalNetwork network, Conditions conditions, BoardSide side)
        {
            _network = network;
            _ambient = conditions.AmbientCelsius;
            Law = SurfaceLaw.Of(side == BoardSide.Top ? conditions.Top : conditions.Bottom, _ambient, network.Raster.Grid);
            int sheet = side == BoardSide.Top ? 0 : network.Stack.Sheets.Count - 1;
            _start = sheet * network.PlaneCount;
            double half = network.Stack.Sheets[sheet].Thickness / 2;
            var share = network.Raster.BoardShareArray;
            double cellArea = network.Raster.Grid.CellArea;
            _filmArea = [.. share.Select(s => s * cellArea)];
            _toFace = new double[share.Length];
            for (int cell = 0; cell < share.Length; cell++) _toFace[cell] = share[cell] > 0 ? network.ThroughConductivity[_start + cell] / half : 0;
            AddContacts(conditions, side);
            _slope = new double[share.Length];
            _flux = new double[share.Length];
            for (int cell = 0; cell < share.Length; cell++) Tangent(cell, _ambient);
        }

        public SurfaceLaw Law { get; }

        public void Add(Span<float> toSink, Span<double> heat)
        {
            for (int cell = 0; cell < _filmArea.Length; cell++)
            {
                if (_filmArea[cell] <= 0 || _toFace[cell] <= 0) continue;
                double share = _toFace[cell] / (_toFace[cell] + _slope[cell]);
                toSink[_start + cell] += (float)(_filmArea[cell] * _slope[cell] * share);
                heat[_start + cell] -= _filmArea[cell] * _flux[cell] * share;
            }
            foreach (var (_, cell, area, series, sinkRise) in _contacts)
            {
                toSink[_start + cell] += (float)(area * series);
                heat[_start + cell] += (float)(area * series) * sinkRise;
            }
        }

        public double Relinearise(ReadOnlySpan<double> field)
        {
            double defect = 0;
            for (int cell = 0; cell < _filmArea.Length; cell++)
            {
                if (_filmArea[cell] <= 0) continue;
                double rise = FaceRise(cell, field), tangent = _flux[cell] + _slope[cell] * rise;
                Tangent(cell, _ambient + rise);
                defect += _filmArea[cell] * Math.Abs(_flux[cell] + _slope[cell] * rise - tangent);
            }
            return defect;
        }

        public float[] Celsius(ReadOnlySpan<double> field)
        {
            var celsius = new float[_filmArea.Length];
            var contactFlow = new double[_filmArea.Length];
            foreach (var (_, cell, area, series, sinkRise) in _contacts) contactFlow[cell] += area * series * (field[_start + cell] - sinkRise);
            var share = _network.Raster.BoardShareArray;
            for (int cell = 0; cell < celsius.Length; cell++)
            {
                double area = share[cell] * _network.Raster.Grid.CellArea;
                double flow = _filmArea[cell] * (_flux[cell] + _slope[cell] * FaceRise(cell, field)) + contactFlow[cell];
                celsius[cell] = area <= 0 ? float.NaN : (float)(_ambient + field[_start + cell] - flow / (area * _toFace[cell]));
            }
            return celsius;
        }

        public double FilmWatts(ReadOnlySpan<double> field)
        {
            double watts = 0;
            for (int cell = 0; cell < _filmArea.Length; cell++)
            {
                if (_filmArea[cell] > 0) watts += _filmArea[cell] * (_flux[cell] + _slope[cell] * FaceRise(cell, field));
            }
            return watts;
        }

        public void AddContactWatts(ReadOnlySpan<double> field, double[] watts)
        {
            foreach (var (contact, cell, area, series, sinkRise) in _contacts) watts[contact] += (float)(area * series) * (field[_start + cell] - sinkRise);
        }

        private double FaceRise(int cell, ReadOnlySpan<double> field) => (_toFace[cell] * field[_start + cell] - _flux[cell]) / (_toFace[cell] + _slope[cell]);

        private void Tangent(int cell, double celsius)
        {
            if (_filmArea[cell] <= 0) return;
            var grid = _network.Raster.Grid;
            var flux = Law.At(celsius, grid.Centre(cell % grid.Columns, cell / grid.Columns));
            _slope[cell] = flux.Slope;
            _flux[cell] = flux.WattsPerSquareMeter - flux.Slope * (celsius - _ambient);
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
                    _contacts.Add((contact, covered.Cell, area, series, given.SinkCelsius - _ambient));
                }
            }
        }
    }
}
