using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Analysis;

/// <summary>Bounds how many stored solutions are solved again at the same time, to ask more of them.</summary>
internal sealed class AnalysisGate(IOptions<ServiceSettings> settings) : Gate(settings.Value.ConcurrentSolves, settings.Value.QueueLength);
