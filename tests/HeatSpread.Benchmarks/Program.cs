using HeatSpread.Benchmarks;

switch (args.FirstOrDefault())
{
    case "raster":
        RasterBench.Run(args.Length > 1 ? int.Parse(args[1], System.Globalization.CultureInfo.InvariantCulture) : 5);
        break;
    default:
        Console.Error.WriteLine("usage: raster [repetitions]");
        return 2;
}
return 0;
