namespace HeatSpread.Boards;

/// <summary>Materials by name: the document's own, which go before built-in ones of the same name.</summary>
internal sealed class MaterialTable(IReadOnlyDictionary<string, MaterialDocument> own, JsonPointer at, FaultCollector faults)
{
    private const double UsualCelsius = 25;

    private static MaterialValue Unknown => new(new(double.NaN, double.NaN), null, null);

    /// <summary>What the material is; a stand-in, with a fault, where it is unknown.</summary>
    public MaterialValue Resolve(string name, JsonPointer nameAt)
    {
        if (own.TryGetValue(name, out var material)) return Of(material);
        if (Materials.Find(name) is { } builtIn) return new(builtIn.Conductivity, builtIn.Curve, builtIn.JoulesPerCubicMeterKelvin);
        if (faults.IsUnreadable(at)) return Unknown;
        var known = own.Keys.Concat(Materials.BuiltIn.Select(each => each.Name)).ToList();
        faults.Add(nameAt, $"Must name a material of `materials` or a built-in one; there is no {Phrase.Quoted(name)}.{Phrase.Suggestion(name, known)} Known are {Phrase.List(known)}.");
        return Unknown;
    }

    private static MaterialValue Of(MaterialDocument material)
    {
        if (material.Table.Count > 0) return Of(material.Table, material.JoulesPerCubicMeterKelvin);
        var conductivity = material.Conductivity
            ?? Laminate.Of(material.GlassShare ?? double.NaN, material.Resin ?? Materials.Default("epoxy-resin").Conductivity.Through, material.Glass ?? Materials.Default("e-glass").Conductivity.Through);
        return new(conductivity, material.PerKelvin is { } perKelvin and not 0 ? ConductivityCurve.Line(perKelvin, material.AtCelsius ?? UsualCelsius) : null, material.JoulesPerCubicMeterKelvin);
    }

    /// <summary>A table's own conductivity is that at 25 °C.</summary>
    private static MaterialValue Of(IReadOnlyList<MaterialPoint> table, double? heatCapacity)
    {
        var absolute = new ConductivityCurve([.. table.Select(point => new CurvePoint(point.Celsius, point.Conductivity.InPlane, point.Conductivity.Through))]);
        var (inPlane, through) = absolute.At(UsualCelsius);
        return new(new(inPlane, through), new ConductivityCurve([.. absolute.Points.Select(point => new CurvePoint(point.Celsius, point.InPlane / inPlane, point.Through / through))]), heatCapacity);
    }
}
