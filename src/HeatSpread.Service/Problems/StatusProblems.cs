using Microsoft.AspNetCore.Diagnostics;

namespace HeatSpread.Service.Problems;

/// <summary>Gives a body to the statuses that the framework sets without one.</summary>
internal static class StatusProblems
{
    public static Task Write(StatusCodeContext context)
    {
        var request = context.HttpContext.Request;
        var kind = ProblemKind.Of(context.HttpContext.Response.StatusCode);
        string detail = kind.Status switch
        {
            404 => $"{request.Path} is no address of this service.",
            405 => $"{request.Path} does not take {request.Method}; it takes {context.HttpContext.Response.Headers.Allow}.",
            _ => kind.Title,
        };
        return new Problem(kind, detail).ExecuteAsync(context.HttpContext);
    }
}
