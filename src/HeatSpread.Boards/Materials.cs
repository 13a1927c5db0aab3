namespace HeatSpread.Boards;

/// <param name="Name">As used in documents.</param>
/// <param name="Conductivity">Used where nothing else is said.</param>
/// <param name="Range">The spread found in practice, W/(m·K), as text.</param>
/// <param name="Source">Where the value comes from.</param>
public sealed record Material(string Name, Conductivity Conductivity, string Range, string Source);

/// <summary>The built-in materials.</summary>
public static class Materials
{
    private const string Memory = "recalled from memory, not looked up";

    public static IReadOnlyList<Material> BuiltIn { get; } =
    [
        Isotropic("copper", 390, "380 to 400; electrodeposited foil and plating 350 to 395", "Handbook value for pure annealed copper near 50 °C is 397 to 401 (CRC Handbook of Chemistry and Physics); foil and plating taken lower, common practice; " + Memory),
        new("fr4", new(0.8, 0.3), "in plane 0.7 to 1.0, through 0.25 to 0.4", "Woven-glass epoxy; measured by Azar and Graebner, 12th IEEE SEMI-THERM Symposium, 1996: 0.81 in plane, 0.29 through; " + Memory),
        new("fr4-high-tg", new(0.9, 0.35), "in plane 0.8 to 1.1, through 0.3 to 0.45", "Filled woven-glass epoxy, data sheets of the trade in general; common practice; " + Memory),
        new("polyimide-glass", new(0.8, 0.35), "in plane 0.6 to 0.9, through 0.25 to 0.4", "Woven-glass polyimide; common practice; " + Memory),
        new("polyimide-film", new(0.5, 0.12), "in plane 0.2 to 0.9 (orientation of the chains), through 0.10 to 0.2", "Data sheets of the trade in general give 0.12 through at 296 K; " + Memory),
        Isotropic("ptfe-glass", 0.25, "0.2 to 0.5; ceramic filled up to 0.9", "Laminates for high frequencies; common practice; " + Memory),
        Isotropic("alumina", 24, "96 %: 20 to 26; 99.6 %: 27 to 35", "CRC Handbook of Chemistry and Physics and data sheets of the trade in general; " + Memory),
        Isotropic("aluminium-nitride", 170, "140 to 200", "Sintered substrates; data sheets of the trade in general; " + Memory),
        Isotropic("insulated-metal-dielectric", 2, "0.8 to 8, by its filler", "Filled epoxy of metal-core boards; common practice; " + Memory),
        Isotropic("aluminium", 160, "pure 237; alloy 5052: 138; alloy 6061: 167", "ASM Handbook, volume 2; a base plate's alloy decides; " + Memory),
        Isotropic("steel", 50, "plain carbon 43 to 65; stainless 14 to 17", "ASM Handbook, volume 1; " + Memory),
        Isotropic("solder-mask", 0.25, "0.2 to 0.3", "Unfilled epoxy acrylate; common practice; " + Memory),
        Isotropic("solder-sac", 58, "55 to 64", "Tin-silver-copper, 3.0 to 4.0 % Ag, 0.5 % Cu; common practice; " + Memory),
        Isotropic("epoxy-resin", 0.2, "0.17 to 0.25", "Unfilled; common practice; " + Memory),
        Isotropic("via-fill", 0.3, "0.25 to 0.6; heat-conducting pastes 1 to 8", "Resin plugging paste; the contract's value for the fill `resin`"),
        Isotropic("gap-pad", 3, "1 to 8", "Filled silicone pads; common practice; " + Memory),
        Isotropic("air", 0.026, "0.0262 at 300 K, 0.030 at 350 K", "Still dry air at 1 atm: Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.4: 0.0263 at 300 K; " + Memory),
    ];

    private static readonly Dictionary<string, Material> ByName = BuiltIn.ToDictionary(material => material.Name, StringComparer.Ordinal);

    /// <summary>The built-in material of that name, or null.</summary>
    public static Material? Find(string name) => ByName.GetValueOrDefault(name);

    /// <summary>Conductivity of a built-in material that is known to exist.</summary>
    internal static Conductivity Default(string name) => ByName[name].Conductivity;

    private static Material Isotropic(string name, double conductivity, string range, string source) => new(name, new(conductivity, conductivity), range, source);
}
