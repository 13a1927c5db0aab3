using HeatSpread.Service.Problems;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Layouts;

/// <summary>Bounds how many requests read and draw a layout at the same time, for that is work of seconds on a large board.</summary>
internal sealed class ReadingGate(IOptions<ServiceSettings> settings) : Gate(settings.Value.ConcurrentImports, mostWaiting: 256)
{
    public static Problem Busy { get; } = new(ProblemKind.Busy, "Too many layouts are being read; try again later.") { RetryAfterSeconds = 1 };
}
