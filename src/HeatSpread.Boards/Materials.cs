namespace HeatSpread.Boards;

/// <param name="Name">As used in documents.</param>
/// <param name="Conductivity">Used where nothing else is said.</param>
/// <param name="Range">The spread found in practice, W/(m·K), as text.</param>
/// <param name="Source">Where the value comes from.</param>
public sealed record Material(string Name, Conductivity Conductivity, string Range, string Source);

/// <summary>The built-in materials.</summary>
public static class Materials
{
    private const string Memory = "from memory";
    private const string Practice = "common practice, from memory";

    /// <summary>Values marked "from memory" were not looked up; the others were found at the place named.</summary>
    public static IReadOnlyList<Material> BuiltIn { get; } =
    [
        Isotropic("copper", 390, "350 to 401; foil 391, electroplated 401", "Foil and plating: IEEE Transactions on Reliability 68 (2019) 248, table VI; pure annealed copper 397 to 401: CRC Handbook of Chemistry and Physics, from memory"),
        new("fr4", new(0.8, 0.3), "in plane 0.7 to 1.1, through 0.25 to 0.35", "Woven-glass epoxy: Sarvar, Poole and Witting, Journal of Electronic Materials 19 (1990) 1345, measured 1.059 in plane and 0.343 through; Graebner and Azar, Journal of Heat Transfer 119 (1997) 401, found in plane about 3 times through; value: 0.81 and 0.29 of the same authors, 1996, from memory"),
        new("fr4-high-tg", new(0.9, 0.35), "in plane 0.8 to 1.1, through 0.3 to 0.45", "Woven-glass epoxy with mineral filler: " + Practice),
        new("polyimide-glass", new(0.7, 0.3), "in plane 0.5 to 0.9, through 0.2 to 0.4", "Woven-glass polyimide, through: 0.2 in IEEE Transactions on Reliability 68 (2019) 248, table VI; in plane: " + Practice),
        new("polyimide-film", new(0.5, 0.12), "in plane 0.2 to 0.9, through 0.10 to 0.2", "Flexible circuits; the chains lie in the plane: " + Practice),
        Isotropic("ptfe-glass", 0.3, "0.2 to 0.6; with ceramic filler up to 0.9", "Laminates for high frequencies, 0.6 to 0.69 with ceramic filler: IEEE Transactions on Reliability 68 (2019) 248, table VI; without: " + Practice),
        Isotropic("alumina", 24, "96 % pure 20 to 26, 99.6 % pure 27 to 35", "CRC Handbook of Chemistry and Physics, " + Memory),
        Isotropic("aluminium-nitride", 170, "140 to 200", "Sintered substrates: " + Practice),
        Isotropic("insulated-metal-dielectric", 2, "0.8 to 8, by its filler", "Filled resin between copper and a metal base: " + Practice),
        Isotropic("aluminium", 160, "pure 237, alloy 6061 167, alloy 5052 138", "ASM Handbook, volume 2, " + Memory),
        Isotropic("steel", 50, "plain carbon 43 to 65, stainless 14 to 17", "ASM Handbook, volume 1, " + Memory),
        Isotropic("solder-mask", 0.25, "0.2 to 0.3", "Epoxy acrylate: " + Practice),
        Isotropic("solder-sac", 58, "58 to 64", "Tin with 3 to 4 % silver and 0.5 % copper, tables of solder makers: " + Practice),
        Isotropic("solder-tin-lead", 50, "49 to 51", "Tin with 37 % lead, tables of solder makers: " + Practice),
        Isotropic("epoxy-resin", 0.2, "0.17 to 0.25", "Without filler: " + Practice),
        Isotropic("via-fill", 0.3, "0.25 to 0.6; conducting pastes 3.5 and more", "Plugging paste, 0.58 and 3.5: IEEE Transactions on Reliability 68 (2019) 248, table VI; value: without filler, as the fill `resin`"),
        Isotropic("gap-pad", 3, "1 to 8", "Filled silicone: " + Practice),
        Isotropic("air", 0.026, "0.0263 at 300 K, 0.0300 at 350 K", "Still dry air at 1 atm: Incropera and DeWitt, Fundamentals of Heat and Mass Transfer, table A.4, " + Memory),
    ];

    private static readonly Dictionary<string, Material> ByName = BuiltIn.ToDictionary(material => material.Name, StringComparer.Ordinal);

    /// <summary>The built-in material of that name, or null.</summary>
    public static Material? Find(string name) => ByName.GetValueOrDefault(name);

    /// <summary>Conductivity of a built-in material that is known to exist.</summary>
    internal static Conductivity Default(string name) => ByName[name].Conductivity;

    private static Material Isotropic(string name, double conductivity, string range, string source) => new(name, new(conductivity, conductivity), range, source);
}
