namespace HeatSpread.Service.Jobs.Embedded;

/// <summary>
/// The jobs that wait, in the order in which they are to run. Between tenants the one that has had the least work done lately is next (start-time fair queueing: each
/// tenant has a clock that its work moves on), so no number of jobs of one keeps another waiting. Within a tenant a job is due at its arrival plus its own expected
/// length: small ones pass a huge one, which is put off by its own length at most. Not safe for several threads at once.
/// </summary>
internal sealed class WaitingLine
{
    private static readonly IComparer<Place> ByDue = Comparer<Place>.Create((a, b) => (a.Due, a.Number).CompareTo((b.Due, b.Number)));

    private readonly Dictionary<string, Line> _lines = new(StringComparer.Ordinal);
    private readonly Dictionary<SolveJob, Place> _places = [];
    private long _arrived;
    private double _clock;

    public int Count => _places.Count;

    public int CountOf(string tenant) => _lines.TryGetValue(tenant, out var line) ? line.Places.Count : 0;

    /// <param name="job">Not in the line yet.</param>
    /// <param name="nowSeconds">On any clock that runs evenly.</param>
    public void Add(SolveJob job, double nowSeconds)
    {
        if (!_lines.TryGetValue(job.Tenant, out var line)) _lines[job.Tenant] = line = new Line();
        if (line.Places.Count == 0) line.Clock = Math.Max(line.Clock, _clock); // what a tenant did not ask for in the past it cannot claim now
        var place = new Place(job, nowSeconds + job.ExpectedSeconds, _arrived++);
        line.Places.Add(place);
        _places.Add(job, place);
    }

    /// <returns>False where it is not in the line.</returns>
    public bool Remove(SolveJob job) => _places.Remove(job, out var place) && _lines[job.Tenant].Places.Remove(place);

    /// <summary>The next job, which leaves the line.</summary>
    /// <param name="longestSeconds">Only a job that is expected to take no longer.</param>
    /// <returns>Null where none waits that may be taken.</returns>
    public SolveJob? Take(double longestSeconds = double.PositiveInfinity)
    {
        Place? next = null;
        double clock = double.PositiveInfinity;
        foreach (var line in _lines.Values)
        {
            var first = line.Places.FirstOrDefault(place => place.Job.ExpectedSeconds <= longestSeconds);
            if (first is not null && (line.Clock < clock || (line.Clock == clock && first.Number < next!.Number))) (next, clock) = (first, line.Clock);
        }
        if (next is null) return null;
        Remove(next.Job);
        var taken = _lines[next.Job.Tenant];
        _clock = Math.Max(_clock, taken.Clock);
        taken.Clock += next.Job.ExpectedSeconds;
        return next.Job;
    }

    private sealed record Place(SolveJob Job, double Due, long Number);

    private sealed class Line
    {
        public SortedSet<Place> Places { get; } = new(ByDue);

        /// <summary>Seconds of work taken from this line, set forward to that of the others when it was empty.</summary>
        public double Clock { get; set; }
    }
}
