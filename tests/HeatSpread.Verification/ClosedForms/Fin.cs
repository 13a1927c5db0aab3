namespace HeatSpread.Verification.ClosedForms;

/// <summary>
/// A straight fin with insulated ends, an even source over its first part and a film on both sides: the tanh/cosh profile of any heat-transfer
/// textbook (F. P. Incropera, D. P. DeWitt, Fundamentals of Heat and Mass Transfer, ch. 3.6), two pieces joined at the source's end.
/// </summary>
/// <param name="Length">m.</param>
/// <param name="SourceLength">m, from x = 0.</param>
/// <param name="Section">Conductivity times cross-section, W·m/K.</param>
/// <param name="FilmPerLength">Film coefficient times perimeter, W/(m·K).</param>
/// <param name="Watts">Of the source.</param>
internal sealed record Fin(double Length, double SourceLength, double Section, double FilmPerLength, double Watts)
{
    private double M => Math.Sqrt(FilmPerLength / Section);

    /// <summary>Rise at a place, K.</summary>
    public double Rise(double x)
    {
        double level = Watts / SourceLength / FilmPerLength, m = M, sinh = Math.Sinh(m * Length);
        return x < SourceLength
            ? level * (1 - Math.Sinh(m * (Length - SourceLength)) / sinh * Math.Cosh(m * x))
            : level * Math.Sinh(m * SourceLength) / sinh * Math.Cosh(m * (Length - x));
    }

    /// <summary>Heat along the fin at a place beyond the source, W.</summary>
    public double Flow(double x) => Watts / SourceLength / FilmPerLength * Section * M * Math.Sinh(M * SourceLength) / Math.Sinh(M * Length) * Math.Sinh(M * (Length - x));
}
