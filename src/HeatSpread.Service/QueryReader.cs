using System.Globalization;
using HeatSpread.Boards;

namespace HeatSpread.Service;

/// <summary>Reads a query strictly: each fault is listed, pointers are into the query seen as an object of its keys.</summary>
internal sealed class QueryReader(IQueryCollection query)
{
    private readonly HashSet<string> _known = new(StringComparer.Ordinal);
    private readonly List<Fault> _faults = [];

    /// <summary>A whole number between two bounds.</summary>
    public int Whole(string key, int absent, int least, int most)
    {
        if (Text(key) is not { } text) return absent;
        if (int.TryParse(text, NumberStyles.None, CultureInfo.InvariantCulture, out int value) && value >= least && value <= most) return value;
        Fault(key, $"must be a whole number from {least} to {most}", text);
        return absent;
    }

    /// <summary>A finite number.</summary>
    public double? Number(string key)
    {
        if (Text(key) is not { } text) return null;
        if (double.TryParse(text, NumberStyles.Float, CultureInfo.InvariantCulture, out double value) && double.IsFinite(value)) return value;
        Fault(key, "must be a number", text);
        return null;
    }

    public bool Switch(string key, bool absent)
    {
        switch (Text(key))
        {
            case null: return absent;
            case "true" or "1": return true;
            case "false" or "0": return false;
            case var text:
                Fault(key, "must be true or false", text);
                return absent;
        }
    }

    public string? Choice(string key, IReadOnlyList<string> choices)
    {
        if (Text(key) is not { } text || choices.Contains(text)) return Text(key);
        Fault(key, $"must be one of {string.Join(", ", choices)}", text);
        return null;
    }

    public string? Text(string key)
    {
        _known.Add(key);
        var values = query[key];
        if (values.Count > 1 && !_faults.Any(f => f.Pointer == Pointer(key))) _faults.Add(new Fault(Pointer(key), $"`{key}` must be given once; found {values.Count} times."));
        return values.Count == 1 ? values[0] : null;
    }

    public void Fault(string key, string must, string found) => _faults.Add(new Fault(Pointer(key), $"`{key}` {must}; found {found}."));

    /// <summary>Every fault; keys that were not asked for are faults.</summary>
    public IReadOnlyList<Fault> Faults()
    {
        string known = string.Join(", ", _known.Order(StringComparer.Ordinal).Select(k => $"`{k}`"));
        return [.. _faults, .. query.Keys.Where(k => !_known.Contains(k)).Select(key => new Fault(Pointer(key), $"`{key}` is not known here; known are {known}."))];
    }

    /// <summary>The value, or every fault.</summary>
    public Reading<T> Finish<T>(T value)
        where T : class
    {
        var faults = Faults();
        return new Reading<T>(faults.Count == 0 ? value : null, faults);
    }

    private static string Pointer(string key) => "/" + key.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal);
}
