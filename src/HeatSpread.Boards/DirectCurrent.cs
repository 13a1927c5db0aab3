namespace HeatSpread.Boards;

/// <summary>A terminal of a part.</summary>
/// <param name="Part">Index into <see cref="Board.Parts"/>.</param>
/// <param name="Terminal">Index into <see cref="Part.Terminals"/>.</param>
public readonly record struct PartTerminal(int Part, int Terminal);

/// <summary>
/// Direct current driven through the copper and the vias of one net. The pads of <see cref="From"/> are joined and at one potential, and so are those of <see cref="To"/>.
/// </summary>
/// <param name="Name">For answers; the net's where none was given.</param>
/// <param name="Net">Index into <see cref="Board.Nets"/>.</param>
/// <param name="Amperes">At least 0.</param>
/// <param name="From">Where it enters the copper; at least one, all of the net.</param>
/// <param name="To">Where it leaves the copper; at least one, all of the net, none of <paramref name="From"/>.</param>
public sealed record DirectCurrent(string Name, int Net, double Amperes, IReadOnlyList<PartTerminal> From, IReadOnlyList<PartTerminal> To);
