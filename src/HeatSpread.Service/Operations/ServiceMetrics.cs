using System.Collections.Concurrent;
using System.Diagnostics.Metrics;
using HeatSpread.Insight;

namespace HeatSpread.Service.Operations;

/// <summary>What the service counts and measures, beside what the framework does.</summary>
internal sealed class ServiceMetrics
{
    public const string MeterName = "HeatSpread";

    private readonly Meter _meter;
    private readonly ConcurrentDictionary<string, Func<long>> _caches = new(StringComparer.Ordinal);
    private readonly Counter<long> _solves, _fromStore, _refused, _redelivered;
    private readonly Histogram<double> _seconds;
    private readonly Histogram<long> _unknowns, _iterations;

    public ServiceMetrics(IMeterFactory meters)
    {
        _meter = meters.Create(MeterName);
        _solves = _meter.CreateCounter<long>("heatspread.solves", "{solve}", "Solves by outcome.");
        _fromStore = _meter.CreateCounter<long>("heatspread.answers_from_store", "{answer}", "Requests answered without solving.");
        _refused = _meter.CreateCounter<long>("heatspread.refused", "{request}", "Requests refused because the queue was full.");
        _redelivered = _meter.CreateCounter<long>("heatspread.queue.redelivered", "{message}", "Work that came back because its worker was not heard of, or gave it back.");
        _seconds = _meter.CreateHistogram<double>("heatspread.step.seconds", "s", "Time of a solve by step.");
        _unknowns = _meter.CreateHistogram<long>("heatspread.unknowns", "{unknown}", "Size of a solve.");
        _meter.CreateObservableGauge("heatspread.cache.size", () => _caches.Select(cache => new Measurement<long>(cache.Value(), new KeyValuePair<string, object?>("cache", cache.Key))), "By", "Memory of what was used lately.");
        _iterations = _meter.CreateHistogram<long>("heatspread.iterations", "{iteration}", "Iterations of a solve.");
    }

    public void ObserveQueue(Func<int> waiting) => _meter.CreateObservableGauge("heatspread.queue.waiting", waiting, "{solve}", "Solves that wait.");

    /// <param name="name">Of the cache.</param>
    /// <param name="bytes">Held now.</param>
    public void ObserveCache(string name, Func<long> bytes) => _caches[name] = bytes;

    public void Solved(BoardSolution solution)
    {
        Ended("solved");
        _unknowns.Record(solution.Accuracy.Unknowns);
        _iterations.Record(solution.Accuracy.Iterations);
        var seconds = solution.Seconds;
        Record("raster", seconds.Raster);
        Record("assemble", seconds.Assemble);
        Record("solve", seconds.Solve);
        Record("gridError", seconds.GridError);
        Record("findings", seconds.Findings);
        Record("total", seconds.Total);

        void Record(string step, double value) => _seconds.Record(value, new KeyValuePair<string, object?>("step", step));
    }

    public void Ended(string outcome) => _solves.Add(1, new KeyValuePair<string, object?>("outcome", outcome));

    public void AnsweredFromStore() => _fromStore.Add(1);

    public void Refused() => _refused.Add(1);

    public void Redelivered() => _redelivered.Add(1);
}
