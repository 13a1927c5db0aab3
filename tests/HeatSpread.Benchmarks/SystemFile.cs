using System.Runtime.InteropServices;
using HeatSpread.Solver;

namespace HeatSpread.Benchmarks;

/// <summary>
/// A sparse symmetric system as little-endian binary: "SYSCSR1" and a zero byte; n, stored entries, three grid extents (fastest first) as int64; row
/// starts int64[n + 1]; columns int32; values float64; right-hand side float64[n].
/// </summary>
internal sealed class SystemFile
{
    private SystemFile(long[] extents, long[] rowStart, int[] column, double[] value, double[] rhs) => (Extents, RowStart, Column, Value, Rhs) = (extents, rowStart, column, value, rhs);

    public long[] Extents { get; }

    public long[] RowStart { get; }

    public int[] Column { get; }

    public double[] Value { get; }

    public double[] Rhs { get; }

    public static SystemFile Read(string path)
    {
        using var file = File.OpenRead(path);
        Span<byte> magic = stackalloc byte[8];
        file.ReadExactly(magic);
        if (!magic.SequenceEqual("SYSCSR1\0"u8)) throw new InvalidDataException($"{path} is not a system file.");
        var head = ReadArray<long>(file, 5);
        return new(head[2..], ReadArray<long>(file, head[0] + 1), ReadArray<int>(file, head[1]), ReadArray<double>(file, head[1]), ReadArray<double>(file, head[0]));
    }

    /// <summary>
    /// The 7-point network, and for each of its cells the file's unknown. The axis of the fewest cells is the stack; the other two keep their order.
    /// </summary>
    public (ConductanceGrid Grid, int[] UnknownOfCell) ToGrid()
    {
        var stack = Array.IndexOf(Extents, Extents.Min());
        int[] plan = [.. Enumerable.Range(0, 3).Where(a => a != stack)];
        long[] stride = [1, Extents[0], Extents[0] * Extents[1]];
        var network = new DoubleConductances((int)Extents[plan[0]], (int)Extents[plan[1]], (int)Extents[stack]);
        var unknown = new int[network.ToSink.Length];
        var cell = 0;
        for (var s = 0; s < network.Sheets; s++)
        {
            for (var y = 0; y < network.Rows; y++)
            {
                for (var x = 0; x < network.Columns; x++, cell++)
                {
                    var r = (x * stride[plan[0]]) + (y * stride[plan[1]]) + (s * stride[stack]);
                    unknown[cell] = (int)r;
                    var sum = 0.0;
                    for (var e = RowStart[r]; e < RowStart[r + 1]; e++)
                    {
                        sum += Value[e];
                        var step = Column[e] - r;
                        if (step == stride[plan[0]] && x + 1 < network.Columns) network.East[cell] = -Value[e];
                        else if (step == stride[plan[1]] && y + 1 < network.Rows) network.North[cell] = -Value[e];
                        else if (step == stride[stack] && s + 1 < network.Sheets) network.Below[cell] = -Value[e];
                        else if (step > 0) throw new InvalidDataException("The system is not a 7-point network.");
                    }

                    // A row sum that is nothing but rounding of its terms is no way to the sink.
                    network.ToSink[cell] = sum > 1e-12 * Diagonal(r) ? sum : 0;
                }
            }
        }

        return (new(network), unknown);
    }

    /// <summary>Relative 2-norm of the residual, and heat in and out in W, all from the file's own rows.</summary>
    public (double Residual, double HeatIn, double HeatOut) Check(double[] x)
    {
        double rr = 0, bb = 0, heatIn = 0, heatOut = 0;
        for (var r = 0; r < Rhs.Length; r++)
        {
            double ax = 0, toSink = 0;
            for (var e = RowStart[r]; e < RowStart[r + 1]; e++)
            {
                ax += Value[e] * x[Column[e]];
                toSink += Value[e];
            }

            rr += (Rhs[r] - ax) * (Rhs[r] - ax);
            bb += Rhs[r] * Rhs[r];
            heatIn += Rhs[r];
            heatOut += toSink * x[r];
        }

        return (Math.Sqrt(rr / bb), heatIn, heatOut);
    }

    private double Diagonal(long row)
    {
        for (var e = RowStart[row]; e < RowStart[row + 1]; e++)
        {
            if (Column[e] == row) return Value[e];
        }

        return 0;
    }

    private static T[] ReadArray<T>(FileStream file, long length)
        where T : unmanaged
    {
        var values = GC.AllocateUninitializedArray<T>(checked((int)length));
        const int Piece = 1 << 24;
        for (var at = 0; at < values.Length; at += Piece) file.ReadExactly(MemoryMarshal.AsBytes(values.AsSpan(at, Math.Min(Piece, values.Length - at))));
        return values;
    }
}
