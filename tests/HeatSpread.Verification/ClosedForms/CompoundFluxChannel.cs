namespace HeatSpread.Verification.ClosedForms;

/// <summary>
/// M. M. Yovanovich, Y. S. Muzychka, J. R. Culham, Spreading resistance of isoflux rectangles and strips on compound flux channels,
/// J. Thermophysics and Heat Transfer 13 (1999) 495-500: an even source 2a × 2b in the middle of a plate 2c × 2d of two isotropic layers, film on the bottom,
/// everything else adiabatic. Exponentials are divided by the largest, exp(2ζ(2t₁ + t₂)), or they overflow.
/// </summary>
internal sealed record CompoundFluxChannel(double A, double B, double C, double D, double T1, double T2, double K1, double K2, double Film)
{
    private const int Terms = 1000;

    /// <summary>Mean rise of the source over the ambient per watt, K/W: one-dimensional and spreading part.</summary>
    public double TotalResistance => T1 / (K1 * 4 * C * D) + T2 / (K2 * 4 * C * D) + 1 / (Film * 4 * C * D) + SpreadingResistance;

    public double SpreadingResistance
    {
        get
        {
            double sum = 0;
            for (int m = 1; m <= Terms; m++)
            {
                double delta = m * Math.PI / C, lambda = m * Math.PI / D;
                sum += Square(Math.Sin(A * delta)) / (2 * A * A * C * D * K1 * Math.Pow(delta, 3)) * Phi(delta);
                sum += Square(Math.Sin(B * lambda)) / (2 * B * B * C * D * K1 * Math.Pow(lambda, 3)) * Phi(lambda);
                for (int n = 1; n <= Terms; n++) sum += Both(delta, n * Math.PI / D);
            }
            return sum;
        }
    }

    private double Both(double delta, double lambda)
    {
        double beta = double.Hypot(delta, lambda);
        return Square(Math.Sin(A * delta) * Math.Sin(B * lambda)) / (Square(A * B * delta * lambda) * C * D * K1 * beta) * Phi(beta);
    }

    private double Phi(double zeta)
    {
        double kappa = K2 / K1, alpha = (1 - kappa) / (1 + kappa), rho = (zeta + Film / K2) / (zeta - Film / K2);
        double e1 = Math.Exp(-2 * zeta * T1), e2 = Math.Exp(-2 * zeta * T2), both = e1 * e2;
        return (alpha * e2 + both + rho * (1 + alpha * e1)) / (alpha * e2 - both + rho * (1 - alpha * e1));
    }

    private static double Square(double x) => x * x;
}
