namespace HeatSpread.Service.Storage;

/// <summary>A stored entry whose bytes are not those that were written. It has been set aside.</summary>
internal sealed class DamagedEntryException(string message) : Exception(message);
