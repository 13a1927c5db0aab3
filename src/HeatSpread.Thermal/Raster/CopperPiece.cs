using System.Numerics;

namespace HeatSpread.Thermal.Raster;

/// <summary>Connected pieces of copper in a pattern of 8 × 8 fine points (bit 8 · row + column).</summary>
internal static class CopperPiece
{
    private const ulong AllButLastColumn = 0x7F7F7F7F7F7F7F7F;

    /// <summary>The piece with the most points; of equals the one with the lowest point. 0 where there is no copper.</summary>
    public static ulong Largest(ulong copper, ulong openEast, ulong openNorth)
    {
        ulong largest = 0, rest = copper;
        int most = 0;
        while (rest != 0)
        {
            ulong piece = Flood(rest & (0 - rest), openEast, openNorth);
            int size = BitOperations.PopCount(piece);
            if (size > most) (largest, most) = (piece, size);
            rest &= ~piece;
        }
        return largest;
    }

    /// <summary>All points that open links lead to from the seeds (which must be copper).</summary>
    public static ulong Flood(ulong seeds, ulong openEast, ulong openNorth)
    {
        ulong east = openEast & AllButLastColumn, reached = seeds;
        while (true)
        {
            ulong grown = reached | ((reached & east) << 1) | ((reached >> 1) & east) | ((reached & openNorth) << 8) | ((reached >> 8) & openNorth);
            if (grown == reached) return reached;
            reached = grown;
        }
    }

    /// <summary>Whether a piece has no neck: every row and every column of it is one unbroken run.</summary>
    public static bool IsPlain(ulong piece, ulong openEast, ulong openNorth)
    {
        ulong brokenEast = piece & (piece >> 1) & AllButLastColumn & ~openEast, brokenNorth = piece & (piece >> 8) & ~openNorth;
        return (brokenEast | brokenNorth) == 0 && RowsAreRuns(piece) && RowsAreRuns(Transpose(piece));
    }

    /// <summary>Rows and columns exchanged: the 8 × 8 bit transpose of Warren, Hacker's Delight, 2nd ed., section 7-3.</summary>
    public static ulong Transpose(ulong x)
    {
        ulong t = (x ^ (x >> 7)) & 0x00AA00AA00AA00AA;
        x ^= t ^ (t << 7);
        t = (x ^ (x >> 14)) & 0x0000CCCC0000CCCC;
        x ^= t ^ (t << 14);
        t = (x ^ (x >> 28)) & 0x00000000F0F0F0F0;
        return x ^ t ^ (t << 28);
    }

    private static bool RowsAreRuns(ulong piece)
    {
        for (; piece != 0; piece >>= 8)
        {
            uint row = (byte)piece;
            // Adding the lowest bit carries through the first run; what is left of the row is another run.
            if ((row & (row + (row & (0 - row)))) != 0) return false;
        }
        return true;
    }
}
