namespace HeatSpread.Solver.Kernels;

/// <summary>All scalar products that a step of conjugate gradients needs: r residual, z preconditioned residual and az its image, p direction before the step and q its image.</summary>
internal struct Products
{
    public double Square, Slope, Energy, ImageDirection, ResidualDirection, ResidualNewImage, ResidualImage, NewImageSquare, NewImageImage, ImageSquare, Curvature;

    public static Products Of(double r, double z, double az, double p, double q) => new()
    {
        Square = r * r,
        Slope = r * z,
        Energy = z * az,
        ImageDirection = az * p,
        ResidualDirection = r * p,
        ResidualNewImage = r * az,
        ResidualImage = r * q,
        NewImageSquare = az * az,
        NewImageImage = az * q,
        ImageSquare = q * q,
        Curvature = p * q,
    };

    public void Add(in Products other)
    {
        Square += other.Square;
        Slope += other.Slope;
        Energy += other.Energy;
        ImageDirection += other.ImageDirection;
        ResidualDirection += other.ResidualDirection;
        ResidualNewImage += other.ResidualNewImage;
        ResidualImage += other.ResidualImage;
        NewImageSquare += other.NewImageSquare;
        NewImageImage += other.NewImageImage;
        ImageSquare += other.ImageSquare;
        Curvature += other.Curvature;
    }
}
