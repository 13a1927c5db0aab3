using System.Net;
using Microsoft.AspNetCore.Server.Kestrel.Core;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Access;

/// <summary>The service is not started where anyone who reaches it could use it, unless that is asked for.</summary>
internal sealed class OpenAddressException(string message) : Exception(message);

/// <summary>Looks at every address before it is listened on.</summary>
internal sealed class OpenAddresses(IOptions<ServiceSettings> settings) : IConfigureOptions<KestrelServerOptions>
{
    public void Configure(KestrelServerOptions options) => options.ConfigureEndpointDefaults(listen => Check(listen.EndPoint));

    private void Check(EndPoint address)
    {
        if (settings.Value.RequireKeys || settings.Value.OpenToNetwork || address is not IPEndPoint place || IPAddress.IsLoopback(place.Address)) return;
        throw new OpenAddressException(
            $"The service does not start on {place} without API keys: whoever reaches that address could read and change everything. Set {ServiceSettings.Section}:{nameof(ServiceSettings.RequireKeys)} to true "
            + $"(and make a key with the command `keys add`), or listen on a loopback address, or, behind a gateway that asks who comes, set {ServiceSettings.Section}:{nameof(ServiceSettings.OpenToNetwork)} to true.");
    }
}
