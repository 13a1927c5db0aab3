using HeatSpread.Service.Access;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Storage;

namespace HeatSpread.Service.Distributed;

/// <summary>Puts the queue and the store of many processes together.</summary>
internal static class DistributedServices
{
    private const string Index = "index", States = "states";

    public static void AddDistributed(this IServiceCollection services)
    {
        services.AddSingleton<NatsLink>();
        AddMirror(services, Index, json => System.Text.Json.JsonSerializer.Deserialize(json, ServiceJson.Written.Manifest)!, manifest => System.Text.Json.JsonSerializer.SerializeToUtf8Bytes(manifest, ServiceJson.Written.Manifest));
        AddMirror(services, States, WorkState.Read, WorkState.Write);
        AddMirror(services, NatsKeys.Bucket, NatsKeys.Read, NatsKeys.Write);
        services.AddSingleton<IStorage, NatsStorage>();
        services.AddSingleton<IKeyStore, NatsKeys>();
        services.AddSingleton<IAuditLog, NatsAudit>();
        services.AddSingleton<WorkSource>().AddHostedService(s => s.GetRequiredService<WorkSource>());
        services.AddSingleton<WorkTaker>().AddHostedService(s => s.GetRequiredService<WorkTaker>());
        services.AddSingleton<ProgressMirror>().AddHostedService(s => s.GetRequiredService<ProgressMirror>());
        services.AddSingleton<IWorkQueue, NatsQueue>();
        services.AddHostedService<Housekeeping>();
        services.AddHealthChecks().AddCheck<QueueCheck>("queue");
    }

    private static void AddMirror<T>(IServiceCollection services, string bucket, Func<byte[], T> read, Func<T, byte[]> write)
        where T : class
    {
        services.AddSingleton(s => new BucketMirror<T>(s.GetRequiredService<NatsLink>(), bucket, read, write, s.GetRequiredService<ILogger<BucketMirror<T>>>()));
        services.AddHostedService(s => s.GetRequiredService<BucketMirror<T>>());
    }
}
