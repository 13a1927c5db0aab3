using System.Numerics;

namespace HeatSpread.Thermal.Raster;

/// <summary>
/// Scans one row of cells band by band (<see cref="BandHeights"/>) and sums up what each cell and each of its sides holds of the runs of copper
/// found there (<see cref="LinePainter"/>). Along the line everything is exact; within a band edges are taken as straight, so copper with straight
/// edges is exact but where edges of different shapes cross, or more vertices meet than bands are made. One scanner serves one thread.
/// </summary>
internal sealed class RowScanner
{
    /// <summary>Fine points along each side of a cell; their pattern fills one 64-bit word a cell.</summary>
    public const int Fine = 8;

    /// <summary>Runs closer than this touch, m.</summary>
    private const double Touching = 1e-8;

    private readonly BoardGrid _grid;
    private readonly BandHeights _bands;
    private readonly LinePainter _painter;
    private readonly double[] _cover;
    private readonly double[] _voteWeight;
    private readonly byte[] _bandCopper;
    private readonly byte[] _bandOpen;
    private readonly double[] _sideSteps;

    /// <param name="grid">Cells.</param>
    /// <param name="only">Sees the copper of this owner alone; null: of all.</param>
    public RowScanner(BoardGrid grid, int? only = null)
    {
        _grid = grid;
        _painter = new LinePainter(only);
        _bands = new BandHeights(grid);
        int columns = grid.Columns;
        _cover = new double[columns + 2];
        _voteWeight = new double[columns];
        _bandCopper = new byte[columns];
        _bandOpen = new byte[columns];
        Copper = [.. Enumerable.Range(0, Fine).Select(_ => new byte[columns])];
        Open = [.. Enumerable.Range(0, Fine).Select(_ => new byte[columns])];
        Between = [.. Enumerable.Range(0, Fine + 1).Select(_ => new byte[columns])];
        Owner = new int[columns];
        EastOpen = new double[columns];
        BottomOpen = new double[columns];
        TopOpen = new double[columns];
        _sideSteps = new double[columns + 1];
    }

    /// <summary>A byte a cell for each fine row: bit b is set where fine point b is copper.</summary>
    public byte[][] Copper { get; }

    /// <summary>As <see cref="Copper"/>: bit b is set where copper is unbroken from fine point b to the next one to the right.</summary>
    public byte[][] Open { get; }

    /// <summary>
    /// As <see cref="Copper"/>, for the stretch below fine row 0 (element 0), between fine rows k - 1 and k (element k) and above the last
    /// (element 8): bit b is set where the column of fine point b is copper in every band of the stretch.
    /// </summary>
    public byte[][] Between { get; }

    /// <summary>Exact share of each cell's right side along which copper goes on into the next cell.</summary>
    public double[] EastOpen { get; }

    /// <summary>Exact share of each cell's lower side that bounds copper.</summary>
    public double[] BottomOpen { get; }

    /// <summary>As <see cref="BottomOpen"/>, of the upper side.</summary>
    public double[] TopOpen { get; }

    /// <summary>The net with most of each cell's copper, by the majority vote of runs on the fine rows.</summary>
    public int[] Owner { get; }

    /// <summary>Scans a row.</summary>
    /// <param name="paint">What is painted.</param>
    /// <param name="mask">Only within this; null: everywhere.</param>
    /// <param name="row">The row.</param>
    /// <param name="share">Receives the covered share of each cell.</param>
    /// <param name="selection">Null: all that is painted.</param>
    public void Scan(RowIndex paint, RowIndex? mask, int row, Span<float> share, PaintSelection? selection = null)
    {
        Array.Clear(_cover);
        Array.Clear(_voteWeight);
        Array.Fill(Owner, PaintProgram.NoNet);
        Array.Clear(EastOpen);
        Array.Clear(_sideSteps);
        foreach (var stretch in Between) Array.Fill(stretch, (byte)0xFF);
        double bottom = _grid.Origin.Y + row * _grid.PitchY, finePitch = _grid.PitchY / Fine;
        var bounds = _bands.Of(paint, mask, row, selection?.Other);
        for (int band = 0; band + 1 < bounds.Count; band++)
        {
            double low = bounds[band], high = bounds[band + 1];
            var runs = _painter.RunsIn(paint, mask, row, low, high, selection);
            Cover(runs, (high - low) / _grid.PitchY);
            OpenSides(runs, (high - low) / _grid.PitchY);
            if (band == 0) Lengths(runs, run => (run.Left.Below, run.Right.Below), BottomOpen);
            if (band + 2 == bounds.Count) Lengths(runs, run => (run.Left.Above, run.Right.Above), TopOpen);
            MarkFine(runs);
            // Fine rows stand at (k + 1/2) finePitch above the bottom; a band lies in one or more of the stretches between them.
            int firstFine = (int)Math.Ceiling((low - bottom) / finePitch - 0.5), endFine = (int)Math.Ceiling((high - bottom) / finePitch - 0.5);
            firstFine = Math.Clamp(firstFine, 0, Fine);
            endFine = band + 2 == bounds.Count ? Fine : Math.Clamp(endFine, firstFine, Fine);
            for (int stretch = firstFine; stretch <= endFine; stretch++) And(Between[stretch], _bandCopper);
            for (int fine = firstFine; fine < endFine; fine++)
            {
                _bandCopper.CopyTo(Copper[fine], 0);
                _bandOpen.CopyTo(Open[fine], 0);
                Vote(runs);
            }
        }
        double sum = 0;
        for (int column = 0; column < share.Length; column++)
        {
            sum += _cover[column];
            share[column] = (float)Math.Clamp(sum, 0, 1);
        }
        double whole = 0;
        for (int column = 0; column < EastOpen.Length; column++) EastOpen[column] = Math.Clamp(EastOpen[column] + (whole += _sideSteps[column]), 0, 1);
    }

    private void Cover(OwnedRuns runs, double weight)
    {
        foreach (ref readonly var run in runs.Runs)
        {
            AddEdge(run.Left, weight);
            AddEdge(run.Right, -weight);
        }
    }

    /// <summary>Adds the area to the right of an edge through a band, as differences along the row: a running sum gives the cover of each cell.</summary>
    private void AddEdge(Crossing edge, double weight)
    {
        double below = Column(edge.Below), above = Column(edge.Above);
        double left = Math.Min(below, above), right = Math.Max(below, above);
        int first = (int)left, last = (int)Math.Ceiling(right);
        if (last <= first + 1)
        {
            double inside = weight * ((left + right) / 2 - first);
            _cover[first] += weight - inside;
            _cover[first + 1] += inside;
            return;
        }
        // The edge leans over several cells: the area to its left grows as a parabola, then evenly, then as a parabola.
        double scale = 1 / (right - left), previous = 0;
        for (int column = first; column < last; column++)
        {
            double end = Math.Min(column + 1, right) - left;
            double cumulative = 0.5 * scale * end * end + Math.Max(0, column + 1 - right); // area right of the edge, up to the cell's far side
            double begin = Math.Max(0, column - left);
            double before = 0.5 * scale * begin * begin;
            double covered = weight * (cumulative - before);
            _cover[column] += covered - previous;
            previous = covered;
        }
        _cover[last] += weight - previous;
    }

    /// <summary>
    /// Adds to each cell's right side the height over which the runs cross it. Where both edges of a run are clear of the side it is the whole band;
    /// where an edge leans across the side, the part of the band that lies on the run's side of it.
    /// </summary>
    private void OpenSides(OwnedRuns runs, double weight)
    {
        foreach (ref readonly var run in runs.Runs)
        {
            double leftFrom = Column(Math.Min(run.Left.Below, run.Left.Above)), leftTo = Column(Math.Max(run.Left.Below, run.Left.Above));
            double rightFrom = Column(Math.Min(run.Right.Below, run.Right.Above)), rightTo = Column(Math.Max(run.Right.Below, run.Right.Above));
            // Side k lies at k + 1. Sides from wholeFrom to before wholeTo are crossed over the whole band.
            int wholeFrom = Math.Max(0, (int)Math.Ceiling(leftTo) - 1), wholeTo = Math.Min(EastOpen.Length, (int)Math.Ceiling(rightFrom) - 1);
            if (wholeFrom < wholeTo)
            {
                _sideSteps[wholeFrom] += weight;
                _sideSteps[wholeTo] -= weight;
            }
            else
            {
                wholeTo = wholeFrom = Math.Max(wholeFrom, wholeTo);
            }
            int first = Math.Max(0, (int)Math.Ceiling(leftFrom) - 1), last = Math.Min(EastOpen.Length, (int)Math.Ceiling(rightTo) - 1);
            for (int side = first; side < last; side = side + 1 == wholeFrom ? Math.Max(wholeTo, wholeFrom) : side + 1)
            {
                if (side >= wholeFrom && side < wholeTo) continue;
                double beyondLeft = Part(side + 1 - leftFrom, leftTo - leftFrom), beforeRight = Part(rightTo - side - 1, rightTo - rightFrom);
                EastOpen[side] += weight * Math.Max(0, beyondLeft + beforeRight - 1);
            }
        }
    }

    private static double Part(double reached, double of) => of <= 0 ? reached >= 0 ? 1 : 0 : Math.Clamp(reached / of, 0, 1);

    private void Lengths(OwnedRuns runs, Func<OwnedRun, (double Left, double Right)> ends, double[] lengths)
    {
        Array.Clear(lengths);
        foreach (ref readonly var run in runs.Runs)
        {
            var (from, to) = ends(run);
            double left = Column(from), right = Column(to);
            for (int column = (int)left; column < right && column < lengths.Length; column++)
            {
                lengths[column] += Math.Max(0, Math.Min(right, column + 1) - Math.Max(left, column));
            }
        }
    }

    private double Column(double x) => Math.Clamp((x - _grid.Origin.X) / _grid.PitchX, 0, _grid.Columns);

    private void MarkFine(OwnedRuns runs)
    {
        Array.Clear(_bandCopper);
        Array.Clear(_bandOpen);
        double toFine = Fine / _grid.PitchX;
        int previousLast = -1;
        double previousRight = double.NegativeInfinity;
        foreach (ref readonly var run in runs.Runs)
        {
            int first = Math.Max(0, (int)Math.Ceiling((run.Left.Middle - _grid.Origin.X) * toFine - 0.5));
            int last = Math.Min(Fine * _grid.Columns, (int)Math.Ceiling((run.Right.Middle - _grid.Origin.X) * toFine - 0.5)) - 1;
            bool touches = run.Left.Middle - previousRight < Touching;
            if (last >= first)
            {
                SetBits(_bandCopper, first, last);
                if (last > first) SetBits(_bandOpen, first, last - 1);
                if (touches && previousLast == first - 1 && first > 0) SetBits(_bandOpen, first - 1, first - 1);
                previousLast = last;
            }
            else if (!touches)
            {
                previousLast = -1; // a sliver between fine points after a gap: nothing joins across it
            }
            previousRight = run.Right.Middle;
        }
    }

    private static void SetBits(byte[] bits, int first, int last)
    {
        int from = first >> 3, to = last >> 3;
        byte head = (byte)(0xFF << (first & 7)), tail = (byte)(0xFF >> (7 - (last & 7)));
        if (from == to)
        {
            bits[from] |= (byte)(head & tail);
            return;
        }
        bits[from] |= head;
        bits.AsSpan(from + 1, to - from - 1).Fill(0xFF);
        bits[to] |= tail;
    }

    private static void And(byte[] into, byte[] with)
    {
        int i = 0;
        for (; i + Vector<byte>.Count <= into.Length; i += Vector<byte>.Count)
        {
            (new Vector<byte>(into, i) & new Vector<byte>(with, i)).CopyTo(into, i);
        }
        for (; i < into.Length; i++) into[i] &= with[i];
    }

    /// <summary>Boyer and Moore's majority vote (1981), weighted by length.</summary>
    private void Vote(OwnedRuns runs)
    {
        foreach (ref readonly var run in runs.Runs)
        {
            double left = Column(run.Left.Middle), right = Column(run.Right.Middle);
            for (int column = (int)left; column < right && column < Owner.Length; column++)
            {
                double length = Math.Min(right, column + 1) - Math.Max(left, column);
                if (Owner[column] == run.Owner)
                {
                    _voteWeight[column] += length;
                }
                else if ((_voteWeight[column] -= length) < 0)
                {
                    Owner[column] = run.Owner;
                    _voteWeight[column] = -_voteWeight[column];
                }
            }
        }
    }
}
