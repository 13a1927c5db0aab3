namespace HeatSpread.Benchmarks;

/// <summary>The 7-point network of a system file in double precision, in the order of <see cref="HeatSpread.Solver.ConductanceGrid"/>.</summary>
internal sealed class DoubleNetwork(int columns, int rows, int sheets)
{
    public double[] East { get; } = new double[columns * rows * sheets];

    public double[] North { get; } = new double[columns * rows * sheets];

    public double[] Below { get; } = new double[columns * rows * sheets];

    public double[] ToSink { get; } = new double[columns * rows * sheets];

    /// <summary>residual = heat − conductances × temperature; returns its 2-norm over that of the heat.</summary>
    public double Residual(double[] heat, double[] temperature, double[] residual, int threads)
    {
        double[] squares = new double[rows * sheets], own = new double[rows * sheets];
        Parallel.For(0, rows * sheets, new ParallelOptions { MaxDegreeOfParallelism = threads }, run =>
        {
            int start = run * columns, plane = columns * rows;
            bool south = run % rows > 0, north = run % rows < rows - 1, above = run >= rows, below = run < rows * (sheets - 1);
            for (int i = start, end = start + columns; i < end; i++)
            {
                double t = temperature[i], r = heat[i] - (ToSink[i] * t);
                if (i > start) r += East[i - 1] * (temperature[i - 1] - t);
                if (i + 1 < end) r += East[i] * (temperature[i + 1] - t);
                if (south) r += North[i - columns] * (temperature[i - columns] - t);
                if (north) r += North[i] * (temperature[i + columns] - t);
                if (above) r += Below[i - plane] * (temperature[i - plane] - t);
                if (below) r += Below[i] * (temperature[i + plane] - t);
                residual[i] = r;
                squares[run] += r * r;
                own[run] += heat[i] * heat[i];
            }
        });
        return Math.Sqrt(squares.Sum() / own.Sum());
    }
}
