using HeatSpread.Service;
using HeatSpread.Service.Access;
using HeatSpread.Service.Demo;
using HeatSpread.Service.Jobs;
using Microsoft.Extensions.Options;

bool demo = args.Contains("--demo");
WebApplication? app = null;
try
{
    if (args is ["keys", .. var command]) return KeyCommand.Run(command, ServiceHost.Keys(), TimeProvider.System.GetUtcNow(), Console.Out);
    app = ServiceHost.Build([.. args.Where(a => a != "--demo")]);
    await app.StartAsync();
    if (demo) await DemoRun.Run(app, Console.Out);
    await app.WaitForShutdownAsync();
    return 0;
}
catch (Exception fault) when (fault is OptionsValidationException or IOException or OpenAddressException or QueueAwayException)
{
    await Console.Error.WriteLineAsync(fault.Message); // of a setting, the data folder or the address: it says what to do
    return 1;
}
catch (OperationCanceledException) when (app?.Lifetime.ApplicationStopping.IsCancellationRequested == true)
{
    return 0; // asked to end while it was starting
}
finally
{
    if (app is not null) await app.DisposeAsync();
}
