using System.Security.Cryptography;

namespace HeatSpread.Service.Storage;

/// <summary>Names of stored things: the first 128 bits of the SHA-256 of what makes them, as 32 hexadecimal digits.</summary>
internal static class ContentId
{
    private const int Length = 32;

    /// <summary>Of pieces in order; the border between two pieces counts.</summary>
    public static string Of(params ReadOnlySpan<ReadOnlyMemory<byte>> pieces)
    {
        using var hash = IncrementalHash.CreateHash(HashAlgorithmName.SHA256);
        Span<byte> length = stackalloc byte[sizeof(long)];
        foreach (var piece in pieces)
        {
            System.Buffers.Binary.BinaryPrimitives.WriteInt64LittleEndian(length, piece.Length);
            hash.AppendData(length);
            hash.AppendData(piece.Span);
        }
        return Convert.ToHexStringLower(hash.GetHashAndReset())[..Length];
    }
}
