using HeatSpread.Service.Layouts;
using HeatSpread.Service.Operations;
using HeatSpread.Service.Solutions;
using HeatSpread.Service.Storage;
using HeatSpread.Service.Viewing;
using HeatSpread.Thermal;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Tenants;

/// <summary>Gives every request the stores of its caller's tenant: a route that asks for a store cannot get another's.</summary>
internal static class TenantServices
{
    public static void AddTenants(this IServiceCollection services)
    {
        Cache<SolvedBoard>(services, "fields", share: 0.375, solved => solved.BytesHeld);
        Cache<LayoutInUse>(services, "layouts", share: 0.25, layout => layout.BytesHeld);
        Cache<CopperRaster>(services, "rasters", share: 0.125, SolvedBoard.BytesOf);
        Cache<Trial>(services, "trials", share: 0.125, trial => trial.BytesHeld);
        Cache<byte[]>(services, "pictures", share: 0.125, picture => picture.Length);
        Cache<SolvedNetwork>(services, "networks", share: 1, network => network.BytesHeld); // a single one may be as large as all the others
        services.AddSingleton<DrawingGate>();
        services.AddScoped<Pictures>();
        services.AddSingleton<Workspaces>();
        services.AddScoped<Caller>();
        services.AddScoped(s => s.GetRequiredService<Workspaces>().Of(s.GetRequiredService<Caller>().Tenant));
        services.AddScoped(s => s.GetRequiredService<Workspace>().Layouts);
        services.AddScoped(s => s.GetRequiredService<Workspace>().Solutions);
        services.AddScoped(s => s.GetRequiredService<Workspace>().Comparisons);
        services.AddScoped(s => s.GetRequiredService<Workspace>().Studies);
    }

    /// <param name="services">Of the service.</param>
    /// <param name="name">In the metrics.</param>
    /// <param name="share">Of <see cref="ServiceSettings.CacheBytes"/>.</param>
    /// <param name="size">Bytes that a value holds.</param>
    private static void Cache<T>(IServiceCollection services, string name, double share, Func<T, long> size)
        where T : class => services.AddSingleton(s =>
        {
            var cache = new RecentlyUsed<T>((long)(share * s.GetRequiredService<IOptions<ServiceSettings>>().Value.CacheBytes), size);
            s.GetRequiredService<ServiceMetrics>().ObserveCache(name, () => cache.Bytes);
            return cache;
        });
}
