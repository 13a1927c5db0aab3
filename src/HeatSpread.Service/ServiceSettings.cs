using System.ComponentModel.DataAnnotations;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service;

/// <summary>The settings of the section <c>HeatSpread</c>. A value out of its range stops the start.</summary>
internal sealed class ServiceSettings
{
    public const string Section = "HeatSpread";

    /// <summary>Where layouts and solutions are kept; a relative path is under the content root.</summary>
    [Required(AllowEmptyStrings = false)]
    public string DataFolder { get; set; } = "data";

    /// <summary>Largest body of a request, bytes.</summary>
    [Range(1024L, 4L << 30)]
    public long MaximumBodyBytes { get; set; } = 64L << 20;

    /// <summary>Most fabrication files in one request.</summary>
    [Range(1, 10_000)]
    public int MaximumFiles { get; set; } = 64;

    /// <summary>Most cells of the grid over all rows of the stack.</summary>
    [Range(1_000L, 2_000_000_000L)]
    public long MaximumUnknowns { get; set; } = 40_000_000;

    /// <summary>Solves that run at the same time.</summary>
    [Range(1, 256)]
    public int ConcurrentSolves { get; set; } = Math.Max(1, Environment.ProcessorCount / 4);

    /// <summary>Threads of one solve.</summary>
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

    /// <summary>Memory for boards and fields that were used lately, bytes.</summary>
    [Range(1L << 20, 1L << 40)]
    public long CacheBytes { get; set; } = 512L << 20;
}

[OptionsValidator]
internal sealed partial class ServiceSettingsValidator : IValidateOptions<ServiceSettings>;
