namespace HeatSpread.Verification.ClosedForms;

/// <summary>
/// S. Lee, S. Song, V. Au, K. P. Moran, Constriction/spreading resistance model for electronics packaging, Proc. 4th ASME/JSME Thermal
/// Engineering Joint Conf. 4 (1995) 199-206: a disc source on a disc plate with a film below, used for squares of equal area.
/// The authors give closed approximations and state agreement within 10 % over the range common in electronics.
/// </summary>
/// <param name="SourceArea">m².</param>
/// <param name="PlateArea">m².</param>
/// <param name="Thickness">m.</param>
/// <param name="Conductivity">W/(m·K).</param>
/// <param name="Film">W/(m²·K).</param>
internal sealed record SpreadingFormula(double SourceArea, double PlateArea, double Thickness, double Conductivity, double Film)
{
    private double A => Math.Sqrt(SourceArea / Math.PI);

    private double B => Math.Sqrt(PlateArea / Math.PI);

    private double Epsilon => A / B;

    /// <summary>Mean of the source, spreading part alone, K/W.</summary>
    public double MeanSpreading => 0.5 * Math.Pow(1 - Epsilon, 1.5) * Phi / (Math.Sqrt(Math.PI) * Conductivity * A);

    /// <summary>Hottest point, spreading part alone, K/W.</summary>
    public double PeakSpreading => (1 - Epsilon) / Math.Sqrt(Math.PI) * Phi / (Math.Sqrt(Math.PI) * Conductivity * A);

    public double OneDimensional => Thickness / (Conductivity * PlateArea) + 1 / (Film * PlateArea);

    private double Phi
    {
        get
        {
            double lambda = Math.PI + 1 / (Math.Sqrt(Math.PI) * Epsilon), tau = Thickness / B, biot = Film * B / Conductivity;
            double tanh = Math.Tanh(lambda * tau);
            return (tanh + lambda / biot) / (1 + lambda / biot * tanh);
        }
    }
}
