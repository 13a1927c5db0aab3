using System.Numerics;

namespace HeatSpread.Thermal.Raster;

/// <summary>
/// Two neighbouring cells at the fine scale, turned so that the way from the first to the second runs along the columns 0 to 15. Bit 16 · row + column.
/// </summary>
internal readonly struct Window
{
    private const int N = RowScanner.Fine;
    private const ulong FirstColumn = 0x0101010101010101;

    private Window(FinePattern pattern, ulong[] mainPiece, int first, int second, bool turned)
    {
        UInt128 Joined(ulong left, ulong right) => turned ? SideBySide(CopperPiece.Transpose(left), CopperPiece.Transpose(right)) : SideBySide(left, right);

        var (along, across) = turned ? (pattern.OpenNorth, pattern.OpenEast) : (pattern.OpenEast, pattern.OpenNorth);
        Copper = Joined(pattern.Copper[first], pattern.Copper[second]);
        Along = Joined(along[first], along[second]);
        Across = Joined(across[first], across[second]);
        From = Joined(mainPiece[first], 0);
        To = Joined(0, mainPiece[second]);
        IsPlain = CopperPiece.IsPlain(mainPiece[first], pattern.OpenEast[first], pattern.OpenNorth[first])
            && CopperPiece.IsPlain(mainPiece[second], pattern.OpenEast[second], pattern.OpenNorth[second]);
        FromAt = MeanColumn(turned ? CopperPiece.Transpose(mainPiece[first]) : mainPiece[first]);
        ToAt = N + MeanColumn(turned ? CopperPiece.Transpose(mainPiece[second]) : mainPiece[second]);
        Side = turned ? pattern.NorthSide[first] : pattern.EastSide[first];
        CopperRatio = Ratio(pattern, first, second, copper: true);
        FillRatio = Ratio(pattern, first, second, copper: false);
    }

    public UInt128 Copper { get; }

    /// <summary>Points joined by copper to the next one along the way.</summary>
    public UInt128 Along { get; }

    /// <summary>Points joined by copper to the next one across the way.</summary>
    public UInt128 Across { get; }

    /// <summary>Points of the first cell's main piece.</summary>
    public UInt128 From { get; }

    /// <summary>Points of the second cell's main piece.</summary>
    public UInt128 To { get; }

    /// <summary>Whether neither piece has a neck.</summary>
    public bool IsPlain { get; }

    /// <summary>Where the first cell's temperature stands: the middle of its main piece, 0 to 8 (4, the cell's centre, where there is none).</summary>
    public double FromAt { get; }

    /// <summary>As <see cref="FromAt"/> for the second cell, 8 to 16.</summary>
    public double ToAt { get; }

    /// <summary>Exact share of the cells' common side that copper crosses.</summary>
    public double Side { get; }

    /// <summary>Exact copper area of both cells over that of their fine points.</summary>
    public double CopperRatio { get; }

    /// <summary>As <see cref="CopperRatio"/>, of what is not copper.</summary>
    public double FillRatio { get; }

    public static Window East(FinePattern pattern, ulong[] mainPiece, int cell) => new(pattern, mainPiece, cell, cell + 1, turned: false);

    public static Window North(FinePattern pattern, ulong[] mainPiece, int cell, int above) => new(pattern, mainPiece, cell, above, turned: true);

    /// <summary>One row of 16 points.</summary>
    public static uint Row(UInt128 points, int row) => (uint)(points >> (2 * N * row)) & 0xFFFF;

    private static UInt128 SideBySide(ulong left, ulong right) =>
        new(Spread((uint)(left >> 32)) | (Spread((uint)(right >> 32)) << N), Spread((uint)left) | (Spread((uint)right) << N));

    /// <summary>Four bytes, each in the lower half of 16 bits.</summary>
    private static ulong Spread(uint bytes)
    {
        ulong x = bytes;
        x = (x | (x << 16)) & 0x0000FFFF0000FFFF;
        return (x | (x << 8)) & 0x00FF00FF00FF00FF;
    }

    private static double MeanColumn(ulong piece)
    {
        if (piece == 0) return N / 2.0;
        int sum = 0;
        for (int column = 1; column < N; column++) sum += column * BitOperations.PopCount(piece & (FirstColumn << column));
        return 0.5 + sum / (double)BitOperations.PopCount(piece);
    }

    private static double Ratio(FinePattern pattern, int first, int second, bool copper)
    {
        int points = BitOperations.PopCount(pattern.Copper[first]) + BitOperations.PopCount(pattern.Copper[second]);
        double share = (double)pattern.Share[first] + pattern.Share[second];
        if (!copper) (points, share) = (2 * N * N - points, 2 - share);
        return points == 0 ? 1 : Math.Clamp(N * N * share / points, 0.5, 2);
    }
}
