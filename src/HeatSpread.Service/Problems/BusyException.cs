namespace HeatSpread.Service.Problems;

/// <summary>More requests wait than the service holds. The message is for the user.</summary>
internal sealed class BusyException(string message) : Exception(message);
