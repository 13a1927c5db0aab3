using HeatSpread.Service.Tenants;
using Microsoft.AspNetCore.Http.Headers;
using Microsoft.Net.Http.Headers;

namespace HeatSpread.Service;

/// <summary>
/// Bytes that never change under their address: with a strong ETag, to be cached for ever, and answered 304 without being made
/// where the client has them already.
/// </summary>
/// <param name="tag">Stands for the content: different content, different tag. Without quotes.</param>
/// <param name="contentType">Media type.</param>
/// <param name="make">Makes the bytes.</param>
internal sealed class Immutable(string tag, string contentType, Func<Task<byte[]>> make) : IResult
{
    public Immutable(string tag, string contentType, Func<byte[]> make)
        : this(tag, contentType, () => Task.FromResult(make()))
    {
    }

    /// <summary>Something else may one day stand under the address: the client keeps the bytes, but asks whether they still hold.</summary>
    public bool AskEachTime { get; init; }

    public async Task ExecuteAsync(HttpContext httpContext)
    {
        var etag = new EntityTagHeaderValue($"\"{tag}\"");
        if (HttpMethods.IsGet(httpContext.Request.Method) && httpContext.Request.GetTypedHeaders().IfNoneMatch.Any(known => known.Compare(etag, useStrongComparison: false) || known.Equals(EntityTagHeaderValue.Any)))
        {
            SetHeaders(httpContext, etag);
            httpContext.Response.StatusCode = StatusCodes.Status304NotModified;
            return;
        }
        byte[] content = await make(); // before any header: it may fail
        SetHeaders(httpContext, etag);
        await TypedResults.Bytes(content, contentType, enableRangeProcessing: true, entityTag: etag).ExecuteAsync(httpContext);
    }

    private void SetHeaders(HttpContext httpContext, EntityTagHeaderValue etag)
    {
        ResponseHeaders headers = httpContext.Response.GetTypedHeaders();
        headers.ETag = etag;
        httpContext.Response.Headers.CacheControl = AskEachTime ? "no-cache" : $"{(IsPrivate(httpContext) ? "private" : "public")}, max-age=31536000, immutable";
        if (IsPrivate(httpContext)) httpContext.Response.Headers.Append("Vary", "Authorization");
    }

    /// <summary>What one tenant was given, a cache between must not give to another.</summary>
    private static bool IsPrivate(HttpContext httpContext) => httpContext.RequestServices?.GetService<Caller>()?.Key is not null;
}
