using System.Text;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Tenants;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Access;

/// <summary>
/// Lets a request through, or refuses it: a key of the right scope where keys are required, and no change on behalf of a strange site. Without keys everyone is
/// the one tenant, of all scopes.
/// </summary>
internal sealed class AccessCheck(RequestDelegate next, IKeyStore keys, IOptions<ServiceSettings> settings, TimeProvider clock)
{
    /// <summary>What anyone may ask: whether the service lives, how it is called, and the page, which asks for the rest with the user's key.</summary>
    public static bool IsOpenToAll(PathString path) => path.StartsWithSegments("/health") || path.StartsWithSegments("/openapi");

    /// <summary>What a route needs: what it says, else by its method.</summary>
    public static Scope Needed(NeedsScope? said, string method) => said?.Scope ?? (HttpMethods.IsGet(method) ? Scope.Read : Scope.Write);

    public Task InvokeAsync(HttpContext context, Caller caller)
    {
        if (IsForgery(context.Request)) return Refuse(context, new Problem(ProblemKind.Forbidden, "A page of another site may not change anything here; the setting HeatSpread:CorsOrigins lists those that may."));
        if (!settings.Value.RequireKeys) return next(context);
        if (context.GetEndpoint() is not { } endpoint || IsOpenToAll(context.Request.Path)) return next(context);
        if (Key(context.Request) is not { } key)
        {
            context.Response.Headers.WWWAuthenticate = new(["Bearer realm=\"HeatSpread\"", "Basic realm=\"HeatSpread\", charset=\"UTF-8\""]);
            return Refuse(context, new Problem(ProblemKind.Unauthorized, "Send an API key that has not expired, as Authorization: Bearer KEY (or, in a browser, as the password)."));
        }
        caller.Key = key;
        caller.Tenant = key.Tenant;
        var needed = Needed(endpoint.Metadata.GetMetadata<NeedsScope>(), context.Request.Method);
        return Scopes.Parse(key.Scopes).HasFlag(needed)
            ? next(context)
            : Refuse(context, new Problem(ProblemKind.Forbidden, $"This needs a key of the scope {Scopes.NamesOf(needed)[0]}; the key {key.Name} has {string.Join(", ", key.Scopes)}."));
    }

    private static Task Refuse(HttpContext context, Problem problem) => problem.ExecuteAsync(context);

    private ApiKey? Key(HttpRequest request)
    {
        if (Presented(request) is not { } text || ApiKey.Split(text) is not var (id, secret)) return null;
        var key = keys.Find(id);
        return ApiKey.Matches(key, secret) && (key!.Expires is not { } end || end > clock.GetUtcNow()) ? key : null;
    }

    /// <summary>A browser, which sends a password with whatever any page asks of this address, says which site the page is of.</summary>
    private bool IsForgery(HttpRequest request) =>
        !HttpMethods.IsGet(request.Method) && !HttpMethods.IsOptions(request.Method) && (request.Headers["Sec-Fetch-Site"].ToString() is "cross-site" or "same-site")
        && !settings.Value.CorsOrigins.Contains(request.Headers.Origin.ToString(), StringComparer.OrdinalIgnoreCase);

    private static string? Presented(HttpRequest request)
    {
        string header = request.Headers.Authorization.ToString();
        if (header.StartsWith("Bearer ", StringComparison.OrdinalIgnoreCase)) return header[7..].Trim();
        if (!header.StartsWith("Basic ", StringComparison.OrdinalIgnoreCase)) return null;
        byte[] bytes = new byte[header.Length];
        if (!Convert.TryFromBase64String(header[6..].Trim(), bytes, out int length)) return null;
        string[] nameAndPassword = Encoding.UTF8.GetString(bytes, 0, length).Split(':', 2);
        return nameAndPassword.Length == 2 ? nameAndPassword[1] : null;
    }
}
