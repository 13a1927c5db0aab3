Console.WriteLine("HeatSpread benchmarks");
