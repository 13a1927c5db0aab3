namespace HeatSpread.Service.Problems;

/// <summary>One kind of problem a client can meet: its <c>type</c> never changes, so that scripts can tell problems apart.</summary>
/// <param name="Name">Last part of the type.</param>
/// <param name="Status">HTTP status.</param>
/// <param name="Title">The same for every occurrence.</param>
internal sealed record ProblemKind(string Name, int Status, string Title)
{
    public static readonly ProblemKind MalformedJson = new("malformed-json", 400, "The body is not JSON.");
    public static readonly ProblemKind MalformedForm = new("malformed-form", 400, "The form cannot be read.");
    public static readonly ProblemKind InvalidQuery = new("invalid-query", 400, "The query of the address is not valid.");
    public static readonly ProblemKind BadRequest = new("bad-request", 400, "The request cannot be understood.");
    public static readonly ProblemKind Unauthorized = new("unauthorized", 401, "The request needs a valid API key.");
    public static readonly ProblemKind Forbidden = new("forbidden", 403, "The request is not allowed.");
    public static readonly ProblemKind NotFound = new("not-found", 404, "There is nothing at this address.");
    public static readonly ProblemKind MethodNotAllowed = new("method-not-allowed", 405, "This address does not take that method.");
    public static readonly ProblemKind BodyTooLarge = new("body-too-large", 413, "The body is larger than this service takes.");
    public static readonly ProblemKind TooManyFiles = new("too-many-files", 413, "The form holds more files than this service takes.");
    public static readonly ProblemKind TooDeep = new("too-deep", 422, "The document is nested deeper than this service takes.");
    public static readonly ProblemKind InvalidKeyRequest = new("invalid-key-request", 422, "The request for a key has faults.");
    public static readonly ProblemKind UnsupportedMediaType = new("unsupported-media-type", 415, "The body is of a kind that this address does not take.");
    public static readonly ProblemKind InvalidLayout = new("invalid-layout", 422, "The layout has faults.");
    public static readonly ProblemKind InvalidFabricationData = new("invalid-fabrication-data", 422, "The fabrication files or their description have faults.");
    public static readonly ProblemKind InvalidSolutionRequest = new("invalid-solution-request", 422, "The request for a solution has faults.");
    public static readonly ProblemKind InvalidComparisonRequest = new("invalid-comparison-request", 422, "The request for a comparison has faults.");
    public static readonly ProblemKind InvalidStudyRequest = new("invalid-study-request", 422, "The request for a study has faults.");
    public static readonly ProblemKind NoWayOut = new("no-way-out", 422, "The heat has no way out, so no steady temperature exists.");
    public static readonly ProblemKind SolveTooLong = new("solve-too-long", 422, "The solve took longer than this service allows.");
    public static readonly ProblemKind ThermalRunaway = new("thermal-runaway", 422, "The heat rises with temperature without end, so no steady state exists.");
    public static readonly ProblemKind Busy = new("busy", 429, "As many requests as the service holds are waiting.");
    public static readonly ProblemKind Internal = new("internal", 500, "The service failed.");
    public static readonly ProblemKind NotConverged = new("not-converged", 500, "The solver did not reach its tolerance.");
    public static readonly ProblemKind DamagedEntry = new("damaged-entry", 500, "What was stored is damaged.");
    public static readonly ProblemKind GaveUp = new("gave-up", 500, "The solve was begun too often.");
    public static readonly ProblemKind Cancelled = new("cancelled", 503, "The solve was cancelled.");
    public static readonly ProblemKind StorageFull = new("storage-full", 507, "The service has no room left to store this.");
    public static readonly ProblemKind TimedOut = new("timed-out", 504, "The request took longer than the service allows.");

    public static readonly ProblemKind QueueAway = new("queue-away", 503, "The queue and store do not answer.");

    private const string Prefix = "urn:heatspread:problem:";

    public string Type => Prefix + Name;

    /// <summary>The kind of a problem that was written down.</summary>
    public static ProblemKind Written(ProblemBody body) => new(body.Type.StartsWith(Prefix, StringComparison.Ordinal) ? body.Type[Prefix.Length..] : body.Type, body.Status, body.Title);

    /// <summary>The kind for a status that the framework has set without a body.</summary>
    public static ProblemKind Of(int status) => status switch
    {
        401 => Unauthorized,
        403 => Forbidden,
        404 => NotFound,
        405 => MethodNotAllowed,
        413 => BodyTooLarge,
        415 => UnsupportedMediaType,
        429 => Busy,
        503 => Cancelled,
        504 => TimedOut,
        >= 500 => Internal,
        _ => BadRequest with { Status = status },
    };
}
