using System.Buffers.Binary;
using System.Globalization;
using System.Runtime.InteropServices;
using System.Text;

namespace HeatSpread.Service.Solutions;

/// <summary>
/// The NPY format, version 1.0, for a matrix of float32 in C order
/// (https://numpy.org/doc/stable/reference/generated/numpy.lib.format.html).
/// </summary>
internal static class Npy
{
    private const int PrefixLength = 10;
    private const int Alignment = 64;

    private static ReadOnlySpan<byte> Magic => [0x93, (byte)'N', (byte)'U', (byte)'M', (byte)'P', (byte)'Y', 1, 0];

    /// <param name="values"><c>[row * columns + column]</c>.</param>
    /// <param name="rows">First extent.</param>
    /// <param name="columns">Second extent.</param>
    public static byte[] Write(ReadOnlySpan<float> values, int rows, int columns) => Write(MemoryMarshal.AsBytes(values), "<f4", rows, columns);

    /// <summary>As the other one, of int32.</summary>
    public static byte[] Write(ReadOnlySpan<int> values, int rows, int columns) => Write(MemoryMarshal.AsBytes(values), "<i4", rows, columns);

    private static byte[] Write(ReadOnlySpan<byte> values, string kind, int rows, int columns)
    {
        string dictionary = string.Create(CultureInfo.InvariantCulture, $"{{'descr': '{kind}', 'fortran_order': False, 'shape': ({rows}, {columns}), }}");
        int start = (PrefixLength + dictionary.Length + 1 + Alignment - 1) / Alignment * Alignment;
        byte[] file = new byte[start + values.Length];
        Magic.CopyTo(file);
        BinaryPrimitives.WriteUInt16LittleEndian(file.AsSpan(Magic.Length), (ushort)(start - PrefixLength));
        Encoding.ASCII.GetBytes(dictionary.PadRight(start - PrefixLength - 1) + "\n", file.AsSpan(PrefixLength));
        values.CopyTo(file.AsSpan(start)); // every platform of .NET is little-endian
        return file;
    }

    /// <summary>The float32 values of a file that <see cref="Write(ReadOnlySpan{float}, int, int)"/> made.</summary>
    /// <exception cref="InvalidDataException">It holds another number of values.</exception>
    public static float[] Read(ReadOnlySpan<byte> file, int count)
    {
        int start = PrefixLength + BinaryPrimitives.ReadUInt16LittleEndian(file[Magic.Length..]);
        if (!file.StartsWith(Magic) || file.Length != start + (long)count * sizeof(float)) throw new InvalidDataException($"An NPY file of {count} values was expected.");
        return MemoryMarshal.Cast<byte, float>(file[start..]).ToArray();
    }
}

/// <summary>A matrix as text: a line a row, the first row first, values parted by commas, NaN outside the board.</summary>
internal static class Csv
{
    public static byte[] Write(ReadOnlySpan<float> values, int columns)
    {
        var text = new StringBuilder(values.Length * 10);
        for (int i = 0; i < values.Length; i++)
        {
            text.Append(CultureInfo.InvariantCulture, $"{values[i]}").Append((i + 1) % columns == 0 ? '\n' : ',');
        }
        return Encoding.ASCII.GetBytes(text.ToString());
    }
}
