namespace HeatSpread.Thermal.Boundary;

/// <summary>Dry air at 101.325 kPa.</summary>
/// <param name="Conductivity">W/(m·K).</param>
/// <param name="KinematicViscosity">m²/s.</param>
/// <param name="Prandtl">Without unit.</param>
/// <param name="Expansion">1/K, of an ideal gas: 1/T.</param>
internal readonly record struct AirProperties(double Conductivity, double KinematicViscosity, double Prandtl, double Expansion)
{
    // Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.4 (values from memory): K, 1e-3 W/(m·K), 1e-6 m²/s, Pr.
    private static readonly double[,] Table =
    {
        { 200, 18.1, 7.590, 0.737 }, { 250, 22.3, 11.44, 0.720 }, { 300, 26.3, 15.89, 0.707 }, { 350, 30.0, 20.92, 0.700 },
        { 400, 33.8, 26.41, 0.690 }, { 450, 37.3, 32.39, 0.686 }, { 500, 40.7, 38.79, 0.684 }, { 550, 43.9, 45.57, 0.683 },
    };

    /// <summary>Linear between the table's rows; the end rows beyond them.</summary>
    /// <param name="kelvin">Film temperature, 200 to 550 K.</param>
    public static AirProperties At(double kelvin)
    {
        int last = Table.GetLength(0) - 1, row = 0;
        while (row < last - 1 && Table[row + 1, 0] < kelvin) row++;
        double weight = Math.Clamp((kelvin - Table[row, 0]) / (Table[row + 1, 0] - Table[row, 0]), 0, 1);
        double Value(int column) => Table[row, column] + weight * (Table[row + 1, column] - Table[row, column]);
        return new AirProperties(Value(1) * 1e-3, Value(2) * 1e-6, Value(3), 1 / kelvin);
    }
}
