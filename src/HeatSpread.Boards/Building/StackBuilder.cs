namespace HeatSpread.Boards;

/// <summary>The stack: rows with their conductivities, and the copper layers among them.</summary>
internal static class StackBuilder
{
    public static (IReadOnlyList<StackRow> Rows, IReadOnlyList<CopperLayer> Layers, NameTable Names) Build(LayoutDocument document, JsonPointer at, FaultCollector faults)
    {
        var stack = document.Stack;
        var inStack = at["stack"];
        if (stack.Count == 0) faults.Add(inStack, "`stack` must have at least one row; it is empty.");
        var (layers, names) = NameLayers(stack, inStack, faults);
        var materials = new MaterialTable(document.Materials, at["materials"], faults);
        var own = stack.Select((row, i) => OwnConductivity(row, inStack[i], materials)).ToList();
        var rows = stack.Select((row, i) => Row(row, own[i], row.Kind != "copper" ? own[i]
            : row.Between is { } between ? materials.Resolve(between, inStack[i]["between"])
            : NearestDielectric(stack, own, i) ?? Materials.Default("fr4")));
        return ([.. rows], layers, names);
    }

    private static StackRow Row(StackRowDocument row, MaterialValue own, MaterialValue fill) => new()
    {
        Kind = KindOf(row),
        Name = row.Name,
        Thickness = row.ThicknessUm * 1e-6,
        Fill = fill.Conductivity,
        FillCurve = fill.Curve,
        FillRange = fill.Range,
        CopperConductivity = row.Kind == "copper" ? own.Conductivity.InPlane : 0,
        CopperCurve = row.Kind == "copper" ? own.Curve : null,
        FillHeatCapacity = fill.HeatCapacity ?? UsualHeatCapacity("fr4"),
        CopperHeatCapacity = row.Kind == "copper" ? own.HeatCapacity ?? UsualHeatCapacity("copper") : 0,
        HasUsualHeatCapacity = fill.HeatCapacity is null || own.HeatCapacity is null,
        CopperRange = row.Kind == "copper" ? own.Range : null,
    };

    private static double UsualHeatCapacity(string material) => Materials.Find(material)!.JoulesPerCubicMeterKelvin;

    private static (IReadOnlyList<CopperLayer> Layers, NameTable Names) NameLayers(IReadOnlyList<StackRowDocument> stack, JsonPointer at, FaultCollector faults)
    {
        var names = new NameTable("copper layer", "`stack`", faults);
        if (stack.Count == 0) names.MarkIncomplete(); // that is told at the stack
        var layers = new List<CopperLayer>();
        for (int i = 0; i < stack.Count; i++)
        {
            if (stack[i].Kind == "copper")
            {
                string name = stack[i].Name ?? "";
                names.Add(name, layers.Count, at[i]["name"]);
                layers.Add(new CopperLayer(name, i));
            }
            else if (stack[i].Kind is not ("mask" or "dielectric"))
            {
                names.Add(stack[i].Name ?? $"row {i}", -1, at[i]["name"]); // a row of a misspelt kind may be the layer that others name
            }
        }
        return (layers, names);
    }

    private static StackRowKind KindOf(StackRowDocument row) => row.Kind switch
    {
        "mask" => StackRowKind.Mask,
        "copper" => StackRowKind.Copper,
        _ => StackRowKind.Dielectric,
    };

    /// <summary>Of the row's material: its own numbers, the material it names, or its kind's default.</summary>
    private static MaterialValue OwnConductivity(StackRowDocument row, JsonPointer at, MaterialTable materials)
    {
        if (row.Conductivity is { } given) return new(given, null, null);
        if (row.CopperConductivity is { } copper) return new(new(copper, copper), null, UsualHeatCapacity("copper"));
        if (row.Material is { } material) return materials.Resolve(material, at["material"]);
        return Materials.Default(row.Kind switch { "mask" => "solder-mask", "copper" => "copper", _ => "fr4" });
    }

    /// <summary>Of the dielectric row fewest rows away, the one above where two are equally near; null where there is none.</summary>
    private static MaterialValue? NearestDielectric(IReadOnlyList<StackRowDocument> stack, List<MaterialValue> own, int row)
    {
        int nearest = Enumerable.Range(0, stack.Count).Where(i => stack[i].Kind == "dielectric").DefaultIfEmpty(-1).MinBy(i => Math.Abs(i - row));
        return nearest < 0 ? null : own[nearest];
    }
}
