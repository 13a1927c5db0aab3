using HeatSpread.Boards;
using HeatSpread.Thermal;
using MathNet.Numerics.LinearAlgebra;
using MathNet.Numerics.Optimization;

namespace HeatSpread.Insight.Correlation;

/// <summary>
/// Fits uncertain inputs to measured temperatures: weighted least squares by the method of Levenberg and Marquardt, with derivatives from the network itself (<see cref="ConditionSensitivity"/>). Standard errors are those of the
/// linearised model at the fit (Bevington and Robinson, Data Reduction and Error Analysis, ch. 8), made wider by √(χ²/ν) where the points miss the model by more than their uncertainty.
/// </summary>
public static class CorrelationFit
{
    /// <summary>Of the normal distribution: 95 of 100 lie within.</summary>
    private const double Quantile95 = 1.959964;

    /// <summary>Relative residual of the solves: far below any instrument.</summary>
    private const double SolveTolerance = 1e-7;

    private const int MostIterations = 50;

    /// <param name="board">The board.</param>
    /// <param name="raster">Its copper in the cells that it is computed with.</param>
    /// <param name="inputs">At least one, at most as many as points.</param>
    /// <param name="conditionsOf">What surrounds the board for values of the inputs, in their order and within their bounds.</param>
    /// <param name="points">Measured.</param>
    /// <param name="capacity">Cores and memory.</param>
    /// <param name="progress">May be null.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <exception cref="ThermalSolveException">There is no field for values within the bounds.</exception>
    /// <exception cref="OperationCanceledException">As the token asks.</exception>
    public static CorrelationResult Run(
        Board board, CopperRaster raster, IReadOnlyList<FitInput> inputs, Func<IReadOnlyList<double>, Conditions> conditionsOf, IReadOnlyList<MeasuredPoint> points, SolveCapacity capacity,
        IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken)
    {
        ArgumentNullException.ThrowIfNull(inputs);
        ArgumentNullException.ThrowIfNull(conditionsOf);
        ArgumentNullException.ThrowIfNull(points);
        ArgumentOutOfRangeException.ThrowIfZero(inputs.Count, nameof(inputs));
        ArgumentOutOfRangeException.ThrowIfLessThan(points.Count, inputs.Count, nameof(points));
        using var model = new Model(board, raster, inputs, conditionsOf, points, capacity, progress, cancellationToken);
        var build = Vector<double>.Build;
        var measured = build.DenseOfEnumerable(points.Select(point => point.Celsius));
        var weights = build.DenseOfEnumerable(points.Select(point => 1 / (point.StandardUncertainty * point.StandardUncertainty)));
        var objective = ObjectiveFunction.NonlinearModel((fitted, _) => model.Computed(fitted), (fitted, _) => model.Derivatives(fitted), build.Dense(points.Count, i => i), measured, weights);
        var minimiser = new LevenbergMarquardtMinimizer(initialMu: 1e-3, gradientTolerance: 1e-10, stepTolerance: 1e-7, functionTolerance: 1e-10, maximumIterations: MostIterations);
        var start = build.DenseOfEnumerable(inputs.Select(input => input.ToFit(input.Start)));
        var found = minimiser.FindMinimum(
            objective, start, build.DenseOfEnumerable(inputs.Select(input => input.ToFit(input.Least))), build.DenseOfEnumerable(inputs.Select(input => input.ToFit(input.Most))));
        bool converged = found.ReasonForExit is ExitCondition.Converged or ExitCondition.RelativeGradient or ExitCondition.AbsoluteGradient or ExitCondition.RelativePoints or ExitCondition.LackOfProgress or ExitCondition.BoundTolerance;
        return Result(model, found.MinimizingPoint, inputs, points, converged, found.Iterations);
    }

    private static CorrelationResult Result(Model model, Vector<double> fitted, IReadOnlyList<FitInput> inputs, IReadOnlyList<MeasuredPoint> points, bool converged, int iterations)
    {
        var computed = model.Computed(fitted);
        var derivatives = model.Derivatives(fitted);
        FittedPoint[] at = [.. points.Select((point, i) => new FittedPoint(point.Name, point.Celsius, computed[i], point.StandardUncertainty))];
        double chiSquare = at.Sum(point => point.Normalised * point.Normalised);
        int freedom = points.Count - inputs.Count;
        double wider = freedom > 0 ? Math.Max(1, Math.Sqrt(chiSquare / freedom)) : 1;
        var weighted = Matrix<double>.Build.Dense(points.Count, inputs.Count, (i, j) => derivatives[i, j] / points[i].StandardUncertainty);
        var distinction = InputDistinction.Of(weighted, inputs);
        FittedInput[] values = [.. inputs.Select((input, j) => Value(input, fitted[j], wider * distinction.StandardErrors[j], distinction.IsTold[j]))];
        return new(values, at, chiSquare, freedom, distinction.Correlations, distinction.Texts, converged, iterations, model.Solves);
    }

    private static FittedInput Value(FitInput input, double fitted, double error, bool isTold)
    {
        double value = input.FromFit(fitted), margin = 1e-4 * (input.ToFit(input.Most) - input.ToFit(input.Least));
        bool isAtBound = fitted <= input.ToFit(input.Least) + margin || fitted >= input.ToFit(input.Most) - margin;
        double half = Quantile95 * error;
        return new(input.Label, input.Unit, input.Start, value, isTold ? error * input.PerFit(value) : double.PositiveInfinity, isTold ? input.FromFit(fitted - half) : input.Least, isTold ? input.FromFit(fitted + half) : input.Most, isTold, isAtBound);
    }

    /// <summary>Temperatures and derivatives for values of the inputs; the last field is kept, as both are asked for one after the other.</summary>
    private sealed class Model(
        Board board, CopperRaster raster, IReadOnlyList<FitInput> inputs, Func<IReadOnlyList<double>, Conditions> conditionsOf, IReadOnlyList<MeasuredPoint> points, SolveCapacity capacity,
        IProgress<AnalysisProgress>? progress, CancellationToken cancellationToken) : IDisposable
    {
        /// <summary>Half the difference over which a condition's effect is formed, as a share of its range (or of itself).</summary>
        private const double Nearby = 1e-3;

        private SolvedNetwork? _solved;
        private Vector<double>? _fitted;

        public int Solves { get; private set; }

        public Vector<double> Computed(Vector<double> fitted)
        {
            var solved = At(fitted);
            return Vector<double>.Build.DenseOfEnumerable(points.Select(point => solved.Conditions.AmbientCelsius + solved.RiseOf(point.Reading.On(solved))));
        }

        public Matrix<double> Derivatives(Vector<double> fitted)
        {
            var solved = At(fitted);
            double[] values = Values(fitted);
            ConditionChange[] changes = [.. inputs.Select((_, j) => Change(values, j))];
            double[][] perUnit = ConditionSensitivity.Of(solved, [.. points.Select(point => point.Reading.On(solved))], changes, cancellationToken);
            Solves += Math.Min(inputs.Count, points.Count);
            return Matrix<double>.Build.Dense(points.Count, inputs.Count, (i, j) => perUnit[i][j] * inputs[j].PerFit(values[j]));
        }

        public void Dispose() => _solved?.Dispose();

        private double[] Values(Vector<double> fitted) => [.. inputs.Select((input, j) => Math.Clamp(input.FromFit(fitted[j]), input.Least, input.Most))];

        private ConditionChange Change(double[] values, int changed)
        {
            var input = inputs[changed];
            double step = Nearby * (input.IsLogarithmic ? values[changed] : input.Most - input.Least), below = Math.Max(input.Least, values[changed] - step), above = Math.Min(input.Most, values[changed] + step);
            Conditions Moved(double value) => conditionsOf([.. values.Select((other, j) => j == changed ? value : other)]);
            return new(Moved(below), Moved(above), above - below);
        }

        private SolvedNetwork At(Vector<double> fitted)
        {
            if (_solved is not null && fitted.Equals(_fitted)) return _solved;
            var conditions = conditionsOf(Values(fitted));
            var former = _solved;
            _solved = former is null
                ? ThermalSolve.Run(board, conditions, raster, capacity, SolveTolerance, progress: null, cancellationToken)
                : ThermalSolve.RunNear(former, conditions, capacity, cancellationToken);
            former?.Dispose();
            // nobody knows how many are to come: each takes a tenth of what is left
            progress?.Report(new("fit", 100 * (1 - Math.Pow(0.9, Solves)), null));
            _fitted = fitted.Clone();
            Solves++;
            return _solved;
        }
    }
}
