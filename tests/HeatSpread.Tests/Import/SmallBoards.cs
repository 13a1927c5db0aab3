using System.Text;
using HeatSpread.Boards;
using HeatSpread.Import;

namespace HeatSpread.Tests.Import;

/// <summary>Fabrication files of small boards, written in tests. Millimetres with decimal points.</summary>
internal static class SmallBoards
{
    private const string Header = "%FSLAX46Y46*%\n%MOMM*%\n";

    /// <summary>A square of 20 mm.</summary>
    public static FabricationFile Profile { get; } = Gerber("edge.gbr", "%TF.FileFunction,Profile,NP*%%ADD10C,0.1*%D10*X0.0Y0.0D02*X20.0D01*Y20.0D01*X0.0D01*Y0.0D01*");

    public static FabricationFile Gerber(string name, string body) => Text(name, Header + body + "\nM02*\n");

    public static FabricationFile Copper(int number, string body, string side = "Inr") => Gerber($"copper{number}.gbr", $"%TF.FileFunction,Copper,L{number},{side}*%" + body);

    public static FabricationFile Drill(string name, string body) => Text(name, "M48\nMETRIC\nT1C0.4\nT2C1.0\n%\nG90\nG05\n" + body + "\nM30\n");

    public static FabricationFile Text(string name, string text) => new(name, Encoding.UTF8.GetBytes(text));

    public static ImportResult ImportFiles(params FabricationFile[] files) => ImportFiles(new FabricationDescription { Name = "small" }, files);

    public static ImportResult ImportFiles(FabricationDescription description, params FabricationFile[] files) =>
        FabricationImport.Import(description, files, CancellationToken.None);

    public static Region Rectangle(double x0, double y0, double x1, double y1) => new([new Polygon([new(x0, y0), new(x1, y0), new(x1, y1), new(x0, y1)])]);

    public static StackRowDocument Row(string kind, string? name = null) => new() { Kind = kind, Name = name, ThicknessUm = 35 };
}
