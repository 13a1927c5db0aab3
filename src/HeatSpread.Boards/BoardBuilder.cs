namespace HeatSpread.Boards;

/// <summary>Makes a <see cref="Board"/> of a layout, or lists every fault of it.</summary>
public static class BoardBuilder
{
    /// <param name="document">From JSON or from fabrication files.</param>
    /// <param name="pointerInPosted">
    /// Turns a pointer into <paramref name="document"/> into one into what was posted, for documents that were not posted as they are; null: they are the same.
    /// </param>
    /// <param name="limits">Null: the defaults.</param>
    public static Reading<Board> Build(LayoutDocument document, Func<string, string>? pointerInPosted = null, LayoutLimits? limits = null)
    {
        ArgumentNullException.ThrowIfNull(document);
        limits ??= LayoutLimits.Default;
        var faults = new FaultCollector(limits.Faults);
        var board = Build(document, JsonPointer.Root(""), faults, limits);
        if (!faults.Any) return new(board, []);
        var found = faults.Faults();
        return new(null, pointerInPosted is null ? found : [.. found.Select(fault => fault with { Pointer = pointerInPosted(fault.Pointer) })]);
    }

    /// <summary>Judges a document that may hold stand-ins for values with faults; the board is to be used only when no fault was found.</summary>
    internal static Board Build(LayoutDocument document, JsonPointer at, FaultCollector faults, LayoutLimits limits)
    {
        ValueRules.Check(document, at, faults);
        var plan = new Plan(document.Unit, faults, limits);
        var outline = OutlineBuilder.Build(document.Outline, at["outline"], plan);
        var (rows, layers, layerNames) = StackBuilder.Build(document, at, faults);
        var (nets, netNames) = NetBuilder.Build(document.Nets, at["nets"], faults);
        var names = new BoardNames(layerNames, netNames, layers);
        return new Board
        {
            Name = document.Name,
            Revision = document.Revision,
            Outline = plan.ToMetres(document.Outline),
            Rows = rows,
            Layers = layers,
            Nets = nets,
            Copper = CopperBuilder.Build(document.Copper, at["copper"], plan, names),
            Vias = ViaBuilder.Build(document.Vias, at["vias"], plan, names, outline),
            Parts = PartBuilder.Build(document.Parts, at["parts"], plan, names, outline),
            Probes = ProbeBuilder.Build(document.Probes, at["probes"], plan, names, outline),
        };
    }
}

/// <summary>The names that sections of a layout refer to.</summary>
/// <param name="Layers">Copper layers by name.</param>
/// <param name="Nets">Nets by name.</param>
/// <param name="CopperLayers">Top to bottom.</param>
internal sealed record BoardNames(NameTable Layers, NameTable Nets, IReadOnlyList<CopperLayer> CopperLayers)
{
    /// <summary>The stack is known to have no copper row.</summary>
    public bool HasNoCopper => CopperLayers.Count == 0 && !Layers.IsIncomplete;

    /// <summary>Index of the net, -1 for none or an unknown one.</summary>
    public int Net(string? net, JsonPointer at) => net is null ? -1 : Nets.Resolve(net, at);
}
