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
}
