namespace HeatSpread.Boards;

/// <summary>Materials by name: the document's own, which go before built-in ones of the same name.</summary>
internal sealed class MaterialTable(IReadOnlyDictionary<string, MaterialDocument> own, JsonPointer at, FaultCollector faults)
{
    private const double UsualCelsius = 25;

    private static MaterialValue Unknown => new(new(double.NaN, double.NaN), null, null);

    /// <summary>What the material is; a stand-in, with a fault, where it is unknown.</summary>
    public MaterialValue Resolve(string name, JsonPointer nameAt)
    {
        if (own.TryGetValue(name, out var material)) return Of(name, material);
        if (Materials.Find(name) is { } builtIn) return Materials.ValueOf(builtIn);
        if (faults.IsUnreadable(at)) return Unknown;
        var known = own.Keys.Concat(Materials.BuiltIn.Select(each => each.Name)).ToList();
        faults.Add(nameAt, $"Must name a material of `materials` or a built-in one; there is no {Phrase.Quoted(name)}.{Phrase.Suggestion(name, known)} Known are {Phrase.List(known)}.");
        return Unknown;
    }

    private static MaterialValue Of(string name, MaterialDocument material)
    {
        if (material.Table.Count > 0) return Of(name, material.Table, material.JoulesPerCubicMeterKelvin);
        var conductivity = material.Conductivity
            ?? Laminate.Of(material.GlassShare ?? double.NaN, material.Resin ?? Materials.Default("epoxy-resin").Conductivity.Through, material.Glass ?? Materials.Default("e-glass").Conductivity.Through);
        return material.PerKelvin is { } perKelvin and not 0 ? OnALine(name, conductivity, perKelvin, material) : new(conductivity, null, material.JoulesPerCubicMeterKelvin);
    }

    private static MaterialValue OnALine(string name, Conductivity conductivity, double perKelvin, MaterialDocument material)
    {
        double atCelsius = material.AtCelsius ?? UsualCelsius;
        double end = ConductivityCurve.LineEnd(perKelvin, atCelsius);
        string beyond = $"its `perKelvin` would fall below {100 * ConductivityCurve.LeastShare:0} % of its conductivity, which was used";
        return new(conductivity, ConductivityCurve.Line(perKelvin, atCelsius), material.JoulesPerCubicMeterKelvin)
        {
            Range = perKelvin < 0 ? new(name, double.NegativeInfinity, end, beyond) : new(name, end, double.PositiveInfinity, beyond),
        };
    }

    /// <summary>A table's own conductivity is that at 25 °C.</summary>
    private static MaterialValue Of(string name, IReadOnlyList<MaterialPoint> table, double? heatCapacity)
    {
        var absolute = new ConductivityCurve([.. table.Select(point => new CurvePoint(point.Celsius, point.Conductivity.InPlane, point.Conductivity.Through))]);
        var (inPlane, through) = absolute.At(UsualCelsius);
        return new(new(inPlane, through), new ConductivityCurve([.. absolute.Points.Select(point => new CurvePoint(point.Celsius, point.InPlane / inPlane, point.Through / through))]), heatCapacity)
        {
            Range = table.Count > 1 ? new(name, table[0].Celsius, table[^1].Celsius, "the end of its `table` was used") : null,
        };
    }
}
