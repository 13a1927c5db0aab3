using HeatSpread.Boards;

namespace HeatSpread.Thermal.Network;

/// <summary>
/// How far the conductivities of a board's cells are from their materials' own at the temperatures of a field, as shares of those. Only rows whose material depends on temperature are held.
/// </summary>
internal sealed class MaterialShares
{
    /// <summary>A greatest change that falls to less than this share of the one before needs no other steps.</summary>
    private const double Falling = 0.4;

    private readonly ThermalNetwork _network;
    private readonly SheetShares[] _sheets;

    private double _formerChange = double.PositiveInfinity;

    public MaterialShares(ThermalNetwork network)
    {
        _network = network;
        _sheets = [.. network.Stack.Sheets.Select(sheet => network.Board.Rows[sheet.Row]).Select(row => new SheetShares(row.FillCurve, row.CopperCurve, network.PlaneCount))];
        Any = network.Board.Rows.Any(row => row.FillCurve is not null || row.CopperCurve is not null);
    }

    /// <summary>Whether any material depends on temperature.</summary>
    public bool Any { get; }

    public double FillInPlane(int sheet, int cell) => _sheets[sheet].FillInPlane?[cell] ?? 1;

    public double FillThrough(int sheet, int cell) => _sheets[sheet].FillThrough?[cell] ?? 1;

    public double Copper(int sheet, int cell) => _sheets[sheet].Copper?[cell] ?? 1;

    /// <summary>Takes the temperatures of a field.</summary>
    /// <param name="rise">K over ambient of each unknown.</param>
    /// <param name="ambientCelsius">°C.</param>
    public void Take(double[] rise, double ambientCelsius) => Visit(rise, ambientCelsius, (values, cell, share) => values.Take(cell, share));

    /// <summary>Goes towards the temperatures of a field: the whole way, or, where that swings or creeps, by a step of each conductivity's own.</summary>
    /// <param name="rise">K over ambient of each unknown.</param>
    /// <param name="ambientCelsius">°C.</param>
    /// <returns>The greatest change of a conductivity that the whole way would be, as a share of it.</returns>
    public double Approach(double[] rise, double ambientCelsius)
    {
        double greatest = 0;
        Visit(rise, ambientCelsius, (values, cell, share) => greatest = Math.Max(greatest, values.Change(cell, share)));
        bool isFalling = greatest < Falling * _formerChange;
        _formerChange = greatest;
        Visit(rise, ambientCelsius, (values, cell, share) => values.Approach(cell, share, isFalling));
        return greatest;
    }

    /// <summary>Goes through all that depends on temperature, with its share at the temperatures of a field.</summary>
    private void Visit(double[] rise, double ambientCelsius, Action<Shares, int, double> visit)
    {
        for (int sheet = 0; sheet < _sheets.Length; sheet++)
        {
            var shares = _sheets[sheet];
            int first = sheet * _network.PlaneCount;
            for (int cell = 0; cell < _network.PlaneCount; cell++)
            {
                if (shares.FillCurve?.At(ambientCelsius + rise[first + cell]) is var (inPlane, through))
                {
                    visit(shares.FillInPlane!, cell, inPlane);
                    visit(shares.FillThrough!, cell, through);
                }
                if (shares.CopperCurve?.At(ambientCelsius + rise[first + cell]) is var (copper, _)) visit(shares.Copper!, cell, copper);
            }
        }
    }

    /// <summary>Of one sheet; null where its curve is.</summary>
    private sealed class SheetShares(ConductivityCurve? fillCurve, ConductivityCurve? copperCurve, int cells)
    {
        public ConductivityCurve? FillCurve => fillCurve;

        public ConductivityCurve? CopperCurve => copperCurve;

        public Shares? FillInPlane { get; } = fillCurve is null ? null : new(cells);

        public Shares? FillThrough { get; } = fillCurve is null ? null : new(cells);

        public Shares? Copper { get; } = copperCurve is null ? null : new(cells);
    }

    /// <summary>
    /// One value a cell of the plan. Each goes towards its aim by a step of its own, which grows while it keeps its direction and is halved where that turns (as in M. Riedmiller and H. Braun, A direct
    /// adaptive method for faster backpropagation learning, IEEE ICNN 1993): where a conductivity falls steeply some cells swing and others creep, and no one step suits both.
    /// </summary>
    private sealed class Shares(int cells)
    {
        private const float Growth = 1.2f, LargestStep = 2, LeastStep = 0.02f;

        private readonly float[] _values = Filled(cells);
        private float[]? _steps;
        private float[]? _ways;

        public double this[int cell] => _values[cell];

        public void Take(int cell, double share) => _values[cell] = (float)share;

        public double Change(int cell, double share) => Math.Abs(share - _values[cell]) / share;

        public void Approach(int cell, double share, bool isFalling)
        {
            if (_steps is null && isFalling)
            {
                Take(cell, share);
                return;
            }
            _steps ??= Filled(cells);
            _ways ??= new float[cells];
            float way = (float)Math.Log(share / _values[cell]), step = _steps[cell];
            if (way * _ways[cell] < 0) step = Math.Max(LeastStep, Math.Min(step, 1) / 2);
            else if (way * _ways[cell] > 0 && !isFalling) step = Math.Min(LargestStep, step * Growth);
            (_steps[cell], _ways[cell]) = (step, way);
            _values[cell] = (float)(_values[cell] * Math.Exp(way * step));
        }

        private static float[] Filled(int cells)
        {
            var ones = new float[cells];
            Array.Fill(ones, 1f);
            return ones;
        }
    }
}
