using System.ComponentModel.DataAnnotations;
using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Import;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service;

/// <summary>The settings of the section <c>HeatSpread</c>. A value out of its range stops the start.</summary>
internal sealed class ServiceSettings
{
    public const string Section = "HeatSpread";

    /// <summary>Where layouts and solutions are kept; a relative path is under the content root.</summary>
    [Required(AllowEmptyStrings = false)]
    public string DataFolder { get; set; } = "data";

    /// <summary><c>embedded</c>: work and results are kept by this process, in its data folder. <c>nats</c>: by a NATS server, which any number of processes share.</summary>
    [AllowedValues("embedded", "nats")]
    public string Queue { get; set; } = "embedded";

    /// <summary>Address of the NATS server, several with commas between; user and password stand in it where it wants them.</summary>
    [Required(AllowEmptyStrings = false)]
    public string QueueAddress { get; set; } = "nats://127.0.0.1:4222";

    /// <summary>Begins every name on the NATS server, so that several installations may share it.</summary>
    [RegularExpression("[a-z0-9-]{1,40}")]
    public string QueueName { get; set; } = "heatspread";

    /// <summary>Copies that a cluster of NATS servers keeps.</summary>
    [Range(1, 5)]
    public int QueueReplicas { get; set; } = 1;

    /// <summary>Work of a worker that has not been heard of for so long is given to another, seconds.</summary>
    [Range(1, 3600)]
    public int LeaseSeconds { get; set; } = 30;

    /// <summary>What this process does: <c>web</c> answers requests, <c>worker</c> solves, <c>both</c>.</summary>
    [AllowedValues("both", "web", "worker")]
    public string Role { get; set; } = "both";

    /// <summary>Largest body of a request, bytes.</summary>
    [Range(1024L, 4L << 30)]
    public long MaximumBodyBytes { get; set; } = 64L << 20;

    /// <summary>Most fabrication files in one request.</summary>
    [Range(1, 10_000)]
    public int MaximumFiles { get; set; } = 64;

    /// <summary>Most cells of the grid over all rows of the stack.</summary>
    [Range(1_000L, 2_000_000_000L)]
    public long MaximumUnknowns { get; set; } = 40_000_000;

    /// <summary>Most memory of one solve, bytes, by an estimate of <see cref="BytesPerUnknown"/> for each cell.</summary>
    [Range(1L << 20, 1L << 44)]
    public long MaximumSolveBytes { get; set; } = 16L << 30;

    /// <summary>Memory that a solve allocates for a cell, with its grids of the error estimate: measured 402 MiB for 1.1 million (tests/HeatSpread.Benchmarks/RESULTS.md).</summary>
    public const int BytesPerUnknown = 384;

    /// <summary>Most cells of a solve over all rows of the stack, and the limit that says so.</summary>
    public (long Count, string Because) MostUnknowns => MaximumSolveBytes / BytesPerUnknown < MaximumUnknowns
        ? (MaximumSolveBytes / BytesPerUnknown, string.Create(CultureInfo.InvariantCulture, $"setting {Section}:{nameof(MaximumSolveBytes)}, {BytesPerUnknown} bytes a cell"))
        : (MaximumUnknowns, $"setting {Section}:{nameof(MaximumUnknowns)}");

    /// <summary>Solves that run at the same time; they share the cores.</summary>
    [Range(1, 256)]
    public int ConcurrentSolves { get; set; } = Math.Clamp(Environment.ProcessorCount, 1, 256);

    /// <summary>Most threads of one solve. Small boards get fewer, and so do solves that run beside others.</summary>
    [Range(1, 256)]
    public int ThreadsPerSolve { get; set; } = Math.Max(1, Math.Min(4, Environment.ProcessorCount));

    /// <summary>Longest a solve may run, seconds.</summary>
    [Range(1, 604_800)]
    public int SolveTimeoutSeconds { get; set; } = 3600;

    /// <summary>A solve that is expected to take no longer has a worker of its own beside <see cref="ConcurrentSolves"/>, so that it need not wait for long ones; seconds, 0: none.</summary>
    [Range(0.0, 3600.0)]
    public double SmallSolveSeconds { get; set; } = 2;

    /// <summary>Times that an accepted request is begun again when the service ended in the middle of its solve.</summary>
    [Range(1, 1_000_000)]
    public int MaximumAttempts { get; set; } = 5;

    /// <summary>Solves of one tenant that may wait; one more is refused with 429.</summary>
    [Range(1, 100_000)]
    public int QueueLength { get; set; } = 64;

    /// <summary>Layouts that are read and drawn at the same time.</summary>
    [Range(1, 256)]
    public int ConcurrentImports { get; set; } = Math.Max(1, Environment.ProcessorCount);

    /// <summary>Longest a request may take, seconds; a solve that nobody else waits for ends with it.</summary>
    [Range(1, 86_400)]
    public int RequestTimeoutSeconds { get; set; } = 300;

    /// <summary>Requests need an API key.</summary>
    public bool RequireKeys { get; set; }

    /// <summary>Without keys the service starts only on loopback addresses; this lets it start on others.</summary>
    public bool OpenToNetwork { get; set; }

    /// <summary>Sites (such as <c>https://dashboard.example</c>) whose pages may ask this service from a browser.</summary>
    public string[] CorsOrigins { get; set; } = [];

    /// <summary>Sites whose pages may show <c>/embed</c> in a frame.</summary>
    public string[] EmbedOrigins { get; set; } = [];

    /// <summary>Days that solutions, studies and layouts are kept; 0: for ever.</summary>
    [Range(0, 36_500)]
    public int KeepDays { get; set; }

    /// <summary>Bytes of a tenant's solutions and studies beyond which the oldest go; 0: no bound.</summary>
    [Range(0L, 1L << 50)]
    public long KeepBytes { get; set; }

    /// <summary>Free space of the data folder's disk below which the service reports itself not ready, bytes.</summary>
    [Range(0L, 1L << 50)]
    public long MinimumFreeBytes { get; set; } = 256L << 20;

    /// <summary>Bounds of layouts and conditions.</summary>
    public LayoutLimits Layout { get; set; } = new();

    /// <summary>Bounds of fabrication files.</summary>
    public ImportLimits Import { get; set; } = new();

    /// <summary>Bounds of studies.</summary>
    public StudyBounds Study { get; set; } = new();

    /// <summary>Memory that solves leave for the next ones, bytes.</summary>
    [Range(0L, 1L << 40)]
    public long ScratchBytes { get; set; } = 512L << 20;

    /// <summary>Memory for what was used lately, bytes: fields three eighths, boards a quarter, rasters, pictures and trials an eighth each. As much again for networks that were solved again.</summary>
    [Range(1L << 20, 1L << 40)]
    public long CacheBytes { get; set; } = 512L << 20;
}

[OptionsValidator]
internal sealed partial class ServiceSettingsValidator : IValidateOptions<ServiceSettings>;

/// <summary>One process alone does everything.</summary>
internal sealed class RoleValidator : IValidateOptions<ServiceSettings>
{
    public ValidateOptionsResult Validate(string? name, ServiceSettings options) => options is { Queue: "embedded", Role: not "both" }
        ? ValidateOptionsResult.Fail($"The setting {ServiceSettings.Section}:{nameof(options.Role)} must be `both` where {ServiceSettings.Section}:{nameof(options.Queue)} is `embedded`: only processes that share a queue can share the work.")
        : ValidateOptionsResult.Success;
}

/// <summary>How large a study may be. What exceeds a bound is a fault that names it.</summary>
internal sealed record StudyBounds
{
    /// <summary>Points of a sweep or sample; ambients of all curves of a derating.</summary>
    public int Points { get; set; } = 10_000;

    /// <summary>Axes of one study.</summary>
    public int Axes { get; set; } = 30;
}

/// <summary>Every bound of layouts, fabrication files and studies is a number above 0.</summary>
internal sealed class LimitsValidator : IValidateOptions<ServiceSettings>
{
    public ValidateOptionsResult Validate(string? name, ServiceSettings options)
    {
        string[] faults = [.. NotPositive(options.Layout, nameof(options.Layout)), .. NotPositive(options.Import, nameof(options.Import)), .. NotPositive(options.Study, nameof(options.Study))];
        return faults.Length == 0 ? ValidateOptionsResult.Success : ValidateOptionsResult.Fail(faults);
    }

    private static IEnumerable<string> NotPositive(object limits, string section) => limits.GetType().GetProperties()
        .Where(property => property.GetMethod is { IsStatic: false } && property.GetValue(limits) is IConvertible value && Convert.ToDouble(value, CultureInfo.InvariantCulture) <= 0)
        .Select(property => $"The setting {ServiceSettings.Section}:{section}:{property.Name} must be above 0.");
}
