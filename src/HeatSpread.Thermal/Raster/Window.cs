using System.Numerics;

namespace HeatSpread.Thermal.Raster;

/// <summary>
/// What lies between the centres of two neighbouring cells: 8 × 8 fine points, turned so that the way from centre to centre is from column 0
/// to column 7.
/// </summary>
internal readonly record struct Window
{
    private const ulong LeftHalf = 0x0F0F0F0F0F0F0F0F;

    public required ulong Copper { get; init; }

    /// <summary>Points joined by copper to the next one along the way.</summary>
    public required ulong Along { get; init; }

    /// <summary>Points joined by copper to the next one across the way.</summary>
    public required ulong Across { get; init; }

    /// <summary>Points of the first cell's main piece.</summary>
    public required ulong From { get; init; }

    /// <summary>Points of the second cell's main piece.</summary>
    public required ulong To { get; init; }

    /// <summary>Copper of the whole first cell and of the whole second one, and their main pieces, turned likewise.</summary>
    public required (ulong First, ulong Second) Cells { get; init; }

    public required (ulong First, ulong Second) Pieces { get; init; }

    /// <summary>Points of the whole cells that are joined to the next one along the way.</summary>
    public required (ulong First, ulong Second) Links { get; init; }

    /// <summary>Exact copper area of both cells over that of their fine points.</summary>
    public required double AreaRatio { get; init; }

    /// <summary>As <see cref="AreaRatio"/>, of what is not copper.</summary>
    public required double FillRatio { get; init; }

    public static Window East(FinePattern pattern, ulong[] mainPiece, int cell) => new()
    {
        Copper = Beside(pattern.Copper[cell], pattern.Copper[cell + 1]),
        Along = Beside(pattern.OpenEast[cell], pattern.OpenEast[cell + 1]),
        Across = Beside(pattern.OpenNorth[cell], pattern.OpenNorth[cell + 1]),
        From = Beside(mainPiece[cell], 0),
        To = Beside(0, mainPiece[cell + 1]),
        Cells = (pattern.Copper[cell], pattern.Copper[cell + 1]),
        Pieces = (mainPiece[cell], mainPiece[cell + 1]),
        Links = (pattern.OpenEast[cell], pattern.OpenEast[cell + 1]),
        AreaRatio = Ratio(pattern, cell, cell + 1, copper: true),
        FillRatio = Ratio(pattern, cell, cell + 1, copper: false),
    };

    public static Window North(FinePattern pattern, ulong[] mainPiece, int cell, int above) => new()
    {
        Copper = Transpose(Stacked(pattern.Copper[cell], pattern.Copper[above])),
        Along = Transpose(Stacked(pattern.OpenNorth[cell], pattern.OpenNorth[above])),
        Across = Transpose(Stacked(pattern.OpenEast[cell], pattern.OpenEast[above])),
        From = Transpose(Stacked(mainPiece[cell], 0)),
        To = Transpose(Stacked(0, mainPiece[above])),
        Cells = (Transpose(pattern.Copper[cell]), Transpose(pattern.Copper[above])),
        Pieces = (Transpose(mainPiece[cell]), Transpose(mainPiece[above])),
        Links = (Transpose(pattern.OpenNorth[cell]), Transpose(pattern.OpenNorth[above])),
        AreaRatio = Ratio(pattern, cell, above, copper: true),
        FillRatio = Ratio(pattern, cell, above, copper: false),
    };

    private static ulong Beside(ulong left, ulong right) => ((left >> 4) & LeftHalf) | ((right & LeftHalf) << 4);

    private static ulong Stacked(ulong lower, ulong upper) => (lower >> 32) | (upper << 32);

    private static double Ratio(FinePattern pattern, int first, int second, bool copper)
    {
        int points = BitOperations.PopCount(pattern.Copper[first]) + BitOperations.PopCount(pattern.Copper[second]);
        double share = (double)pattern.Share[first] + pattern.Share[second];
        if (!copper) (points, share) = (128 - points, 2 - share);
        return points == 0 ? 1 : Math.Clamp(64 * share / points, 0.5, 2);
    }

    /// <summary>Rows and columns exchanged: the 8 × 8 bit transpose of Warren, Hacker's Delight, 2nd ed., section 7-3.</summary>
    private static ulong Transpose(ulong x)
    {
        ulong t = (x ^ (x >> 7)) & 0x00AA00AA00AA00AA;
        x ^= t ^ (t << 7);
        t = (x ^ (x >> 14)) & 0x0000CCCC0000CCCC;
        x ^= t ^ (t << 14);
        t = (x ^ (x >> 28)) & 0x00000000F0F0F0F0;
        return x ^ t ^ (t << 28);
    }
}
