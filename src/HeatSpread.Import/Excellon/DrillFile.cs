using HeatSpread.Boards;

namespace HeatSpread.Import.Excellon;

/// <summary>What a drill file makes, in mm.</summary>
internal sealed record DrillFile
{
    public required IReadOnlyList<DrilledHole> Holes { get; init; }

    public required IReadOnlyList<RoutedSlot> Slots { get; init; }

    /// <summary>File attributes by name (<c>.FileFunction</c>).</summary>
    public required IReadOnlyDictionary<string, IReadOnlyList<string>> FileAttributes { get; init; }

    /// <summary>What the file left unsaid about its numbers although it matters; <see cref="DrillUnknowns.None"/> when nothing was assumed.</summary>
    public DrillUnknowns Unknowns { get; init; }
}

/// <param name="At">mm.</param>
/// <param name="Diameter">mm.</param>
/// <param name="IsPlated">Null where the file does not say.</param>
internal sealed record DrilledHole(Point At, double Diameter, bool? IsPlated);

/// <param name="Path">Centre line, mm, at least two points.</param>
/// <param name="Diameter">Of the tool, mm.</param>
/// <param name="IsPlated">Null where the file does not say.</param>
internal sealed record RoutedSlot(IReadOnlyList<Point> Path, double Diameter, bool? IsPlated);

[Flags]
internal enum DrillUnknowns
{
    None = 0,
    Unit = 1,
    Zeros = 2,
    Digits = 4,
}

/// <summary>How numbers without a decimal point are read.</summary>
/// <param name="IsInch">Unit of lengths.</param>
/// <param name="LeadingKept">LZ: trailing zeros are left out and the digits are counted from the left; otherwise (TZ) from the right.</param>
/// <param name="Whole">Digits before the point.</param>
/// <param name="Fraction">Digits after the point.</param>
internal sealed record DrillNumberFormat(bool IsInch, bool LeadingKept, int Whole, int Fraction)
{
    public double Unit => IsInch ? Shapes.Lengths.MillimetersPerInch : 1;

    /// <summary>The usual digits of a unit.</summary>
    public static DrillNumberFormat Usual(bool isInch, bool leadingKept) => isInch ? new(true, leadingKept, 2, 4) : new(false, leadingKept, 3, 3);

    public override string ToString() => $"{(IsInch ? "inch" : "mm")}, {Whole}.{Fraction} digits, {(LeadingKept ? "leading zeros kept" : "trailing zeros kept")}";
}
