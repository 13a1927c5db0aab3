using System.Globalization;

namespace HeatSpread.Service.Jobs;

/// <summary>The part of the header <c>Prefer</c> (RFC 7240) that this service honours.</summary>
/// <param name="Wait">How long the client waits; null: until the work is done.</param>
/// <param name="Applied">For the header <c>Preference-Applied</c>; null where nothing was asked.</param>
internal readonly record struct Preference(TimeSpan? Wait, string? Applied)
{
    private const int LongestWaitSeconds = 3600;

    public static Preference Of(HttpRequest request)
    {
        bool async = false;
        int? wait = null;
        foreach (string item in request.Headers["Prefer"].SelectMany(value => (value ?? "").Split([',', ';'], StringSplitOptions.TrimEntries)))
        {
            if (item.Equals("respond-async", StringComparison.OrdinalIgnoreCase)) async = true;
            else if (item.StartsWith("wait=", StringComparison.OrdinalIgnoreCase) && int.TryParse(item.AsSpan(5).Trim('"'), NumberStyles.None, CultureInfo.InvariantCulture, out int seconds)) wait = Math.Min(seconds, LongestWaitSeconds);
        }
        if (!async && wait is null) return default;
        string[] applied = [.. async ? ["respond-async"] : Array.Empty<string>(), .. wait is { } s ? [$"wait={s}"] : Array.Empty<string>()];
        return new Preference(TimeSpan.FromSeconds(wait ?? 0), string.Join(", ", applied));
    }
}
