namespace HeatSpread.Boards;

/// <summary>Parts: where they lie, what they are soldered to, and their inner networks.</summary>
internal static class PartBuilder
{
    public static IReadOnlyList<Part> Build(IReadOnlyList<PartDocument> parts, JsonPointer at, Plan plan, BoardNames names, OutlineIndex? outline)
    {
        var taken = new NameTable("part", "`parts`", plan.Faults);
        var built = new List<Part>(parts.Count);
        for (int i = 0; i < parts.Count; i++)
        {
            taken.Add(parts[i].Id, i, at[i]["id"]);
            built.Add(Part(parts[i], at[i], plan, names, outline));
        }
        return built;
    }

    private static Part Part(PartDocument part, JsonPointer at, Plan plan, BoardNames names, OutlineIndex? outline)
    {
        CheckBody(part, at, plan, outline);
        if (part.Terminals.Count > 0 && names.HasNoCopper)
            plan.Faults.Add(at["terminals"], "Terminals lie in the outer copper row, but `stack` has no copper row.");
        var terminalNames = new NameTable("terminal", "this part's `terminals`", plan.Faults);
        if (plan.Faults.IsUnreadable(at["terminals"])) terminalNames.MarkIncomplete();
        var terminals = part.Terminals.Select((terminal, i) => Terminal(terminal, i, at["terminals"][i], plan, names, terminalNames, outline)).ToList();
        return new Part
        {
            Id = part.Id,
            Kind = part.Kind,
            Side = part.Side == "bottom" ? BoardSide.Bottom : BoardSide.Top,
            Body = part.Body is { } body ? plan.ToMetres(body) : null,
            Terminals = terminals,
            Watts = part.Watts,
            LimitCelsius = part.LimitCelsius,
            Network = part.Network is { } network ? NetworkBuilder.Build(network, part.Body is not null, at["network"], plan.Faults, terminalNames) : null,
        };
    }

    /// <remarks>A body may overhang the board's edge, as those of connectors do; a body wholly off the board is a mistake.</remarks>
    private static void CheckBody(PartDocument part, JsonPointer at, Plan plan, OutlineIndex? outline)
    {
        if (part.Body is { } body)
        {
            if (plan.CheckRegion(body, at["body"]) && outline?.Overlaps(body) == false)
                plan.Faults.Add(at["body"], "The body must lie over the board, at least in part; it lies wholly outside the outline.");
        }
        else if (part.Terminals.Count == 0 && !plan.Faults.IsUnreadable(at["terminals"]))
        {
            plan.Faults.Add(at, "A part must have `terminals` or a `body`; found neither.");
        }
    }

    private static Terminal Terminal(TerminalDocument terminal, int index, JsonPointer at, Plan plan, BoardNames names, NameTable taken, OutlineIndex? outline)
    {
        taken.Add(terminal.Name, index, at["name"]);
        if (plan.CheckRegion(terminal.Pad, at["pad"]) && outline?.FirstOutside(terminal.Pad) is { } outside)
            plan.Faults.Add(at["pad"], $"A pad must lie wholly on the board; it reaches outside the outline at {Phrase.Of(outside)}.");
        return new Terminal(terminal.Name, names.Net(terminal.Net, at["net"]), plan.ToMetres(terminal.Pad))
        {
            Sides = terminal.Side switch { "both" => [BoardSide.Top, BoardSide.Bottom], "top" => [BoardSide.Top], "bottom" => [BoardSide.Bottom], _ => null },
        };
    }
}
