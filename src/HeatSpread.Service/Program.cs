using HeatSpread.Service;
using HeatSpread.Service.Demo;

bool demo = args.Contains("--demo");
var app = ServiceHost.Build([.. args.Where(a => a != "--demo")]);
await app.StartAsync();
if (demo) await DemoRun.Run(app, Console.Out);
await app.WaitForShutdownAsync();
