using HeatSpread.Boards;

namespace HeatSpread.Thermal.Boundary;

/// <summary>Dry air.</summary>
/// <param name="Conductivity">W/(m·K).</param>
/// <param name="KinematicViscosity">m²/s.</param>
/// <param name="Prandtl">Without unit.</param>
/// <param name="Expansion">1/K, of an ideal gas: 1/T.</param>
internal readonly record struct AirProperties(double Conductivity, double KinematicViscosity, double Prandtl, double Expansion)
{
    /// <summary>Film temperatures that the table covers, K.</summary>
    public const double LeastKelvin = 200, MostKelvin = 550;

    // Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.4, at 1 atm (values from memory): K, 1e-3 W/(m·K), 1e-6 m²/s, Pr.
    private static readonly double[,] Table =
    {
        { LeastKelvin, 18.1, 7.590, 0.737 }, { 250, 22.3, 11.44, 0.720 }, { 300, 26.3, 15.89, 0.707 }, { 350, 30.0, 20.92, 0.700 },
        { 400, 33.8, 26.41, 0.690 }, { 450, 37.3, 32.39, 0.686 }, { 500, 40.7, 38.79, 0.684 }, { MostKelvin, 43.9, 45.57, 0.683 },
    };

    /// <summary>Linear between the table's rows; the end rows beyond them. Pressure acts on the density alone, so on the kinematic viscosity.</summary>
    /// <param name="kelvin">Film temperature, 200 to 550 K.</param>
    /// <param name="kilopascal">Pressure, positive.</param>
    public static AirProperties At(double kelvin, double kilopascal = Conditions.StandardKilopascal)
    {
        int last = Table.GetLength(0) - 1, row = 0;
        while (row < last - 1 && Table[row + 1, 0] < kelvin) row++;
        double weight = Math.Clamp((kelvin - Table[row, 0]) / (Table[row + 1, 0] - Table[row, 0]), 0, 1);
        double Value(int column) => Table[row, column] + weight * (Table[row + 1, column] - Table[row, column]);
        return new AirProperties(Value(1) * 1e-3, Value(2) * 1e-6 * Conditions.StandardKilopascal / kilopascal, Value(3), 1 / kelvin);
    }
}
