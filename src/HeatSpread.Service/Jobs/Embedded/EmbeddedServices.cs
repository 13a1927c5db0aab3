using HeatSpread.Service.Access;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Jobs.Embedded;

/// <summary>Puts the queue and the store of one process together.</summary>
internal static class EmbeddedServices
{
    public static void AddEmbedded(this IServiceCollection services)
    {
        services.AddSingleton<DataFolder>();
        services.AddSingleton<IStorage, FolderStorage>().AddSingleton<Journals>();
        services.AddSingleton<IKeyStore>(s => new KeyFile(s.GetRequiredService<DataFolder>().Root));
        services.AddSingleton<IAuditLog, AuditFiles>();
        services.AddSingleton<EmbeddedQueue>().AddSingleton<IWorkQueue>(s => s.GetRequiredService<EmbeddedQueue>()).AddHostedService(s => s.GetRequiredService<EmbeddedQueue>());
        services.AddHostedService<Recovery>();
        services.AddHealthChecks().AddCheck<DataFolderCheck>("data folder");
    }
}
