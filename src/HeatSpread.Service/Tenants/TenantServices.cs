using HeatSpread.Service.Layouts;
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
        services.AddSingleton(s => new RecentlyUsed<SolvedBoard>(Settings(s).CacheBytes, solved => solved.BytesHeld));
        services.AddSingleton(s => new RecentlyUsed<LayoutInUse>(Settings(s).CacheBytes / 4, layout => layout.BytesHeld));
        services.AddSingleton(s => new RecentlyUsed<SolvedNetwork>(Settings(s).CacheBytes, network => network.BytesHeld));
        services.AddSingleton(s => new RecentlyUsed<Trial>(Settings(s).CacheBytes / 4, trial => trial.BytesHeld));
        services.AddSingleton<Workspaces>();
        services.AddScoped<Caller>();
        services.AddScoped(s => s.GetRequiredService<Workspaces>().Of(s.GetRequiredService<Caller>().Tenant));
        services.AddScoped(s => s.GetRequiredService<Workspace>().Layouts);
        services.AddScoped(s => s.GetRequiredService<Workspace>().Solutions);
        services.AddScoped(s => s.GetRequiredService<Workspace>().Comparisons);
        services.AddScoped(s => s.GetRequiredService<Workspace>().Studies);
    }

    private static ServiceSettings Settings(IServiceProvider services) => services.GetRequiredService<IOptions<ServiceSettings>>().Value;
}
