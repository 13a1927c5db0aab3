using System.Text.Json;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Problems;
using HeatSpread.Service.Solutions;

namespace HeatSpread.Service.Distributed;

/// <summary>Where a piece of work stands; none, when its result is stored.</summary>
/// <param name="Kind">Of the work.</param>
/// <param name="Labels">Of the work.</param>
/// <param name="ExpectedSeconds">Of the work.</param>
/// <param name="Run">Tells this time that it was asked for from others.</param>
/// <param name="State">Waits, runs, failed or cancelled.</param>
/// <param name="Message">Sequence number of its message in the stream of work; 0: not there yet.</param>
/// <param name="Attempts">Times that it was begun.</param>
/// <param name="Changed">When this was written.</param>
/// <param name="Problem">Why it failed.</param>
/// <param name="Replicas">Of whose clients some wait for it. One that was killed stays counted: then the work is done, though perhaps for nobody.</param>
/// <param name="Promised">A client was told to come back; null: written by an earlier version, where all work was kept.</param>
internal sealed record WorkState(
    string Kind, WorkLabels Labels, double ExpectedSeconds, string Run, SolutionState State, ulong Message, int Attempts, DateTimeOffset Changed, ProblemBody? Problem, int Replicas, bool? Promised)
{
    /// <summary>Whether nobody would miss it.</summary>
    public bool IsUnwanted => Replicas <= 0 && Promised == false;

    public bool IsLive => State is SolutionState.Queued or SolutionState.Running;

    public static WorkState Read(byte[] json) => JsonSerializer.Deserialize(json, ServiceJson.Written.WorkState)!;

    public static byte[] Write(WorkState state) => JsonSerializer.SerializeToUtf8Bytes(state, ServiceJson.Written.WorkState);
}

/// <summary>What a message of the stream of work says.</summary>
/// <param name="Tenant">Whose work.</param>
/// <param name="Id">Of the work.</param>
/// <param name="Run">Of the state that it belongs to.</param>
/// <param name="Trace">W3C trace parent of the request that asked; null for none.</param>
internal sealed record WorkMessage(string Tenant, string Id, string Run, string? Trace)
{
    public string Key => $"{NatsLink.Token(Tenant)}.{Id}";

    /// <summary>Name of the object that holds the work's document.</summary>
    public string Document => $"work.{Key}.{Run}";

    public static WorkMessage Read(byte[] json) => JsonSerializer.Deserialize(json, ServiceJson.Written.WorkMessage)!;

    public byte[] Write() => JsonSerializer.SerializeToUtf8Bytes(this, ServiceJson.Written.WorkMessage);
}
