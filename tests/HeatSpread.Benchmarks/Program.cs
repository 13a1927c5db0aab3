using System.Globalization;
using HeatSpread.Benchmarks;
using HeatSpread.Benchmarks.Service;

return args switch
{
    ["raster", .. var options] => Raster(options),
    ["import", .. var options] => Import(options),
    ["fuzz", var reader, var count] => FuzzBench.Run(reader, int.Parse(count, CultureInfo.InvariantCulture), 1, 0),
    ["fuzz", var reader, var count, var seed] => FuzzBench.Run(reader, int.Parse(count, CultureInfo.InvariantCulture), int.Parse(seed, CultureInfo.InvariantCulture), 0),
    ["fuzz", var reader, var count, var seed, var first] => FuzzBench.Run(reader, int.Parse(count, CultureInfo.InvariantCulture), int.Parse(seed, CultureInfo.InvariantCulture), int.Parse(first, CultureInfo.InvariantCulture)),
    ["system", var file, .. var options] => SystemBench.Run(file, options),
    ["scaling", var file, .. var options] => ScalingBench.Run(file, options),
    ["many", .. var options] => SolverUsesBench.Many(options),
    ["large", .. var options] => LargeBench.Run(options),
    ["cancel", .. var options] => SolverUsesBench.Cancel(options),
    ["scratch", .. var options] => SolverUsesBench.Scratch(options),
    ["throughput", .. var options] => ThroughputBench.Run(options),
    ["allocation", .. var options] => AllocationBench.Run(options),
    ["request", .. var options] => await RequestBench.Run(options),
    ["currents", .. var options] => CurrentsBench.Run(options),
    ["films", .. var options] => FilmsBench.Run(options),
    ["grid-error", .. var options] => GridErrorBench.Run(options),
    ["parts-and-vias", .. var options] => PartsAndViasBench.Run(options.Length > 0 ? int.Parse(options[0], CultureInfo.InvariantCulture) : 5),
    ["faults", .. var options] => await ServiceCommands.Faults(options),
    ["distributed", .. var options] => await ServiceCommands.Distributed(options),
    ["queue", .. var options] => await ServiceCommands.Queue(options),
    ["load", .. var options] => await ServiceCommands.Load(options),
    ["ledger", .. var options] => LedgerBench.Run(options),
    ["study", .. var options] => StudyBench.Run(options),
    ["findings", .. var options] => FindingsBench.Run(options),
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
    Console.Error.WriteLine("fuzz READER COUNT [seed [first]]                              harmed files for a reader: json, zip, gerber, excellon, ipc2581, placement, netlist or board");
    Console.Error.WriteLine("faults [kills=200] [seed=1]                                  kills the service at random moments and counts what it had promised");
    Console.Error.WriteLine("distributed [kills=] [seconds=60] [seed=1]                   two web replicas and three workers on one queue server, ended at random: counts what was promised");
    Console.Error.WriteLine("queue [requests=30] [reps=10]                               what the queue costs a request, cancellation, one worker against two");
    Console.Error.WriteLine("load [clients=200] [seconds=300]                             clients in a closed loop: statuses, latencies, solves a minute, memory");
    Console.Error.WriteLine("system FILE [threads=2] [tol=1e-8] [reps=5] [levels=1] [profile=1]  solve a system file, or print the time of each step");
    Console.Error.WriteLine("scaling FILE [threads=2] [rounds=40] [tol=1e-8]                a system with one thread and with several in turn, and what the machine lets several do");
    Console.Error.WriteLine("ledger [pitch=0.17] [threads=2] [reps=3]                       ledger, benefit map and influence matrix of the demo pair against the plain solve");
    Console.Error.WriteLine("many | cancel | scratch | allocation [unknowns=] [threads=2] [reps=]   8 heats on one hierarchy; time to cancel; memory used again; bytes by step");
    Console.Error.WriteLine("large [unknowns=4e7] [threads=2]                              the demo board on a grid as fine as may be: seconds and memory");
    Console.Error.WriteLine("films [unknowns=] [threads=2] [reps=5]                       films that depend on temperature against given ones");
    Console.Error.WriteLine("currents [unknowns=] [threads=2] [reps=5]                    five currents on the demo board against none");
    Console.Error.WriteLine("throughput [what=solver] [at-once=8] [cores=] [pitch=] [rounds=30]  8 small boards, or their networks alone, at once");
    Console.Error.WriteLine("request [unknowns=] [reps=5]                                 a request to the service, answer and picture");
    Console.Error.WriteLine("grid-error [boards=100] [first=1] [plot=FILE.svg]            stated grid errors of random boards against true ones");
    Console.Error.WriteLine("parts-and-vias [repetitions]                                 200 parts, 1,000 terminals, 50,000 vias: seconds by step");
    Console.Error.WriteLine("study [unknowns=1e6] [steps=21] [threads=2] [reps=5]           a study of ambient and watts against one plain solve");
    Console.Error.WriteLine("findings [pitch=0.17] [threads=2] [reps=5]                    findings, five checked edits and the ledger of the demo pair beside the plain solve");
    return 2;
}
