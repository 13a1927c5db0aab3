namespace HeatSpread.Service.Jobs;

/// <summary>
/// Tells those who are refused when to come again: one after the other, as places in the queue become free. Were all told the same time, they would come together and all but one be refused again.
/// </summary>
internal sealed class RetryTimes(TimeProvider clock)
{
    private const int Least = 1, Most = 600;

    private readonly Lock _gate = new();
    private DateTimeOffset _last;

    /// <param name="secondsBetween">Between one free place and the next.</param>
    /// <param name="queueLength">Places in all: when so many are free, there is no need to wait longer.</param>
    /// <returns>Whole seconds, 1 to 600.</returns>
    public int Next(double secondsBetween, int queueLength)
    {
        lock (_gate)
        {
            var now = clock.GetUtcNow();
            var turn = TimeSpan.FromSeconds(Math.Min(secondsBetween, Most));
            var latest = now + turn * queueLength;
            _last = (_last < now ? now : _last) + turn;
            if (_last > latest) _last = latest;
            return (int)Math.Clamp(Math.Ceiling((_last - now).TotalSeconds), Least, Most);
        }
    }
}
