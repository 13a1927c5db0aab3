using System.Globalization;
using HeatSpread.Benchmarks;

return args switch
{
    ["raster", .. var options] => Raster(options),
    ["import", .. var options] => Import(options),
    ["system", var file, .. var options] => SystemBench.Run(file, options),
    ["films", .. var options] => FilmsBench.Run(options),
    ["grid-error", .. var options] => GridErrorBench.Run(options),
    _ => Usage(),
};

static int Raster(string[] options)
{
    RasterBench.Run(options.Length > 0 ? int.Parse(options[0], CultureInfo.InvariantCulture) : 5);
    return 0;
}

static int Import(string[] options)
{
    ImportBench.Run(options.Length > 0 ? int.Parse(options[0], CultureInfo.InvariantCulture) : 3);
    return 0;
}

static int Usage()
{
    Console.Error.WriteLine("raster [repetitions]                                         copper raster of a dense board");
    Console.Error.WriteLine("import [repetitions]                                         import and raster of a board of 100,000 features and 2 million points");
    Console.Error.WriteLine("system FILE [threads=2] [tol=1e-8] [reps=5] [levels=1]       solve a system file and print one JSON line");
    return 2;
}
