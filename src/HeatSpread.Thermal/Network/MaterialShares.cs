namespace HeatSpread.Thermal.Network;

/// <summary>
/// How far the conductivities of a board's cells are from their materials' own at the temperatures of a field, as shares of those. Only rows whose material depends on temperature are held.
/// </summary>
internal sealed class MaterialShares
{
    private readonly ThermalNetwork _network;
    private readonly SheetShares?[] _sheets;

    public MaterialShares(ThermalNetwork network)
    {
        _network = network;
        _sheets = [.. network.Stack.Sheets.Select(sheet => network.Board.Rows[sheet.Row] is { FillCurve: null, CopperCurve: null } ? null : new SheetShares(network.PlaneCount))];
        Any = _sheets.Any(sheet => sheet is not null);
    }

    /// <summary>Whether any material depends on temperature.</summary>
    public bool Any { get; }

    public double FillInPlane(int sheet, int cell) => _sheets[sheet]?.FillInPlane[cell] ?? 1;

    public double FillThrough(int sheet, int cell) => _sheets[sheet]?.FillThrough[cell] ?? 1;

    public double Copper(int sheet, int cell) => _sheets[sheet]?.Copper[cell] ?? 1;

    /// <summary>Takes the temperatures of a field (rises over ambient).</summary>
    /// <param name="rise">K over ambient of each unknown.</param>
    /// <param name="ambientCelsius">°C.</param>
    /// <param name="step">Share of the way from the last conductivities to those at the field that is gone, above 0 to 1.</param>
    /// <returns>The greatest change of a conductivity that the whole way would be, as a share of it.</returns>
    public double Take(double[] rise, double ambientCelsius, double step = 1)
    {
        double greatest = 0;
        for (int sheet = 0; sheet < _sheets.Length; sheet++)
        {
            if (_sheets[sheet] is not { } shares) continue;
            var row = _network.Board.Rows[_network.Stack.Sheets[sheet].Row];
            for (int cell = 0; cell < _network.PlaneCount; cell++)
            {
                double celsius = ambientCelsius + rise[sheet * _network.PlaneCount + cell];
                var (inPlane, through) = row.FillCurve?.At(celsius) ?? (1, 1);
                double copper = row.CopperCurve?.At(celsius).InPlane ?? 1;
                greatest = Math.Max(greatest, Math.Max(Change(shares.FillInPlane, cell, inPlane, step), Math.Max(Change(shares.FillThrough, cell, through, step), Change(shares.Copper, cell, copper, step))));
            }
        }
        return greatest;
    }

    private static double Change(float[] values, int cell, double value, double step)
    {
        double change = Math.Abs(value - values[cell]) / value;
        values[cell] = step == 1 ? (float)value : (float)(values[cell] * Math.Pow(value / values[cell], step));
        return change;
    }

    /// <summary>One value a cell of the plan.</summary>
    private sealed class SheetShares
    {
        public SheetShares(int cells) => (FillInPlane, FillThrough, Copper) = (Ones(cells), Ones(cells), Ones(cells));

        public float[] FillInPlane { get; }

        public float[] FillThrough { get; }

        public float[] Copper { get; }

        private static float[] Ones(int cells)
        {
            var ones = new float[cells];
            Array.Fill(ones, 1f);
            return ones;
        }
    }
}
