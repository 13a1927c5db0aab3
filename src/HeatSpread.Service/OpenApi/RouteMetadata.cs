using HeatSpread.Service.Problems;
using Microsoft.AspNetCore.Mvc;

namespace HeatSpread.Service;

/// <summary>Short words for what a route answers, for the API description.</summary>
internal static class RouteMetadata
{
    public static RouteHandlerBuilder ProducesProblems(this RouteHandlerBuilder route, params ReadOnlySpan<int> statuses)
    {
        foreach (int status in statuses) route.Produces<ProblemBody>(status, "application/problem+json");
        return route;
    }

    public static RouteHandlerBuilder ProducesBytes(this RouteHandlerBuilder route, string contentType) => route.Produces<FileContentResult>(200, contentType).Produces(304);

    /// <summary>The answer is a document whose schema is written by hand in <c>documents.json</c>.</summary>
    public static RouteHandlerBuilder ProducesDocument(this RouteHandlerBuilder route, string schema) => route.WithMetadata(new DocumentAnswer(schema)).Produces(304);

    /// <summary>The answer of status 200 is one of two types.</summary>
    public static RouteHandlerBuilder ProducesEither<TOne, TOther>(this RouteHandlerBuilder route) => route.Produces<TOne>().WithMetadata(new EitherAnswer(typeof(TOne), typeof(TOther)));

    /// <summary>The body is one of documents whose schemas are written by hand.</summary>
    /// <param name="route">The route.</param>
    /// <param name="bodies">Media type and schema of each.</param>
    public static RouteHandlerBuilder TakesDocuments(this RouteHandlerBuilder route, params (string MediaType, string Schema)[] bodies) => route.WithMetadata(new DocumentBody(bodies));
}

/// <summary>An answer of status 200 that is one of two types.</summary>
internal sealed record EitherAnswer(Type One, Type Other);

internal sealed record DocumentAnswer(string Schema);

internal sealed record DocumentBody(IReadOnlyList<(string MediaType, string Schema)> Bodies);
