using System.Text.Json;

namespace HeatSpread.Boards;

/// <summary>
/// The members of one JSON object, read strictly: members not allowed, given twice, missing or of the wrong type become faults, and a stand-in
/// is returned for what cannot be read ("" for text, NaN for a number, no polygons for a region).
/// </summary>
public sealed class JsonMembers
{
    private readonly ReadingState _state;
    private readonly JsonPointer _at;
    private readonly string[] _keys;
    private readonly JsonElement[] _values;

    /// <param name="json">Should be an object.</param>
    /// <param name="at">Where it stands.</param>
    /// <param name="state">Takes the faults.</param>
    /// <param name="keys">Allowed members.</param>
    public JsonMembers(JsonElement json, JsonPointer at, ReadingState state, string[] keys)
    {
        (_state, _at, _keys) = (state, at, keys);
        _values = new JsonElement[keys.Length];
        if (json.ValueKind != JsonValueKind.Object)
        {
            state.Faults.AddUnreadable(at, $"Must be an object with {Phrase.List(keys)}; found {Phrase.Found(json)}.");
            return;
        }
        IsObject = true;
        foreach (var member in json.EnumerateObject()) Take(member);
    }

    public bool IsObject { get; }

    public bool Has(string key) => Value(key).ValueKind != JsonValueKind.Undefined;

    /// <summary>The member as it is; its kind is Undefined where it is missing.</summary>
    public JsonElement Value(string key) => _values[Array.IndexOf(_keys, key)];

    /// <summary>Whether the member is there; a fault where it is not.</summary>
    public bool Require(string key)
    {
        if (Has(key)) return true;
        if (IsObject) _state.Faults.AddMissing(_at, key, $"`{key}` must be given; it is missing.");
        return false;
    }

    public string RequiredText(string key)
    {
        if (!Require(key)) return "";
        string text = ReadText(Value(key), _at[key], _state);
        if (text.Length == 0) _state.Faults.AddUnreadable(_at[key], $"`{key}` must not be empty.");
        return text;
    }

    public string? Text(string key) => Has(key) ? ReadText(Value(key), _at[key], _state) : null;

    public double RequiredNumber(string key) => Require(key) ? ReadNumber(Value(key), _at[key], _state) : double.NaN;

    public double? Number(string key) => Has(key) ? ReadNumber(Value(key), _at[key], _state) : null;

    public bool? Flag(string key)
    {
        if (!Has(key)) return null;
        var value = Value(key);
        if (value.ValueKind is JsonValueKind.True or JsonValueKind.False) return value.GetBoolean();
        _state.Faults.AddUnreadable(_at[key], $"`{key}` must be true or false; found {Phrase.Found(value)}.");
        return null;
    }

    public int RequiredCount(string key)
    {
        if (!Require(key)) return 1;
        var value = Value(key);
        if (value.ValueKind == JsonValueKind.Number && value.TryGetInt32(out int count) && count >= 1) return count;
        _state.Faults.AddUnreadable(_at[key], $"`{key}` must be a whole number of at least 1; found {Phrase.Found(value)}.");
        return 1;
    }

    public Region RequiredRegion(string key) => Require(key) ? RegionReader.Read(Value(key), _at[key], _state) : new Region([]);

    public Region? Region(string key) => Has(key) ? RegionReader.Read(Value(key), _at[key], _state) : null;

    public Point RequiredPosition(string key) => Require(key) ? RegionReader.ReadPosition(Value(key), _at[key], _state) : new Point(double.NaN, double.NaN);

    /// <summary>An array, item by item; empty where it is missing or cannot be read.</summary>
    public IReadOnlyList<T> List<T>(string key, int limit, string limitName, Func<JsonElement, JsonPointer, ReadingState, T> readItem)
    {
        if (!Has(key)) return [];
        var (value, at) = (Value(key), _at[key]);
        if (value.ValueKind != JsonValueKind.Array)
        {
            _state.Faults.AddUnreadable(at, $"`{key}` must be an array; found {Phrase.Found(value)}.");
            return [];
        }
        if (value.GetArrayLength() > limit)
        {
            _state.Faults.AddUnreadable(at, $"`{key}` may hold at most {limit} items (limit {limitName}); found {value.GetArrayLength()}.");
            return [];
        }
        var items = new List<T>(value.GetArrayLength());
        foreach (var item in value.EnumerateArray()) items.Add(readItem(item, at[items.Count], _state));
        return items;
    }

    public IReadOnlyList<T> RequiredList<T>(string key, int limit, string limitName, Func<JsonElement, JsonPointer, ReadingState, T> readItem) =>
        Require(key) ? List(key, limit, limitName, readItem) : [];

    /// <summary>An object whose keys are free names.</summary>
    public IReadOnlyDictionary<string, T> Map<T>(string key, int limit, string limitName, Func<JsonElement, JsonPointer, ReadingState, T> readItem)
    {
        var map = new Dictionary<string, T>(StringComparer.Ordinal);
        if (!Has(key)) return map;
        var (value, at) = (Value(key), _at[key]);
        if (value.ValueKind != JsonValueKind.Object)
        {
            _state.Faults.AddUnreadable(at, $"`{key}` must be an object; found {Phrase.Found(value)}.");
            return map;
        }
        foreach (var member in value.EnumerateObject())
        {
            if (map.Count == limit)
            {
                _state.Faults.AddUnreadable(at, $"`{key}` may hold at most {limit} members (limit {limitName}).");
                return map;
            }
            if (member.Name.Length > _state.Limits.NameLength)
                _state.Faults.AddUnreadable(at, $"A name may hold at most {_state.Limits.NameLength} characters (limit NameLength); found {member.Name.Length}.");
            else if (!map.TryAdd(member.Name, readItem(member.Value, at[member.Name], _state)))
                _state.Faults.Add(at[member.Name], $"{Phrase.Quoted(member.Name)} must be given once; it is given more than once.");
        }
        return map;
    }

    /// <summary>Faults an object in which two members are both given, or neither.</summary>
    public bool RequireExactlyOne(params string[] keys)
    {
        int given = keys.Count(Has);
        if (given == 1 || !IsObject) return IsObject;
        _state.Faults.Add(_at, $"Exactly one of {Phrase.List(keys)} must be given; found {(given == 0 ? "none" : Phrase.List(keys.Where(Has)))}.");
        return false;
    }

    public static string ReadText(JsonElement value, JsonPointer at, ReadingState state)
    {
        if (value.ValueKind != JsonValueKind.String)
        {
            state.Faults.AddUnreadable(at, $"Must be a string; found {Phrase.Found(value)}.");
            return "";
        }
        string text = value.GetString()!;
        if (text.Length <= state.Limits.NameLength && !text.Any(char.IsControl)) return text;
        state.Faults.AddUnreadable(at, text.Length > state.Limits.NameLength
            ? $"May hold at most {state.Limits.NameLength} characters (limit NameLength); found {text.Length}."
            : "Must not hold control characters.");
        return "";
    }

    public static double ReadNumber(JsonElement value, JsonPointer at, ReadingState state)
    {
        if (value.ValueKind == JsonValueKind.Number && value.TryGetDouble(out double number) && double.IsFinite(number))
            return number == 0 ? 0 : number; // not -0, which would be another layout by its digest
        string must = value.ValueKind == JsonValueKind.Number ? "a number within the range of a double" : "a finite number";
        state.Faults.AddUnreadable(at, $"Must be {must}; found {Phrase.Found(value)}.");
        return double.NaN;
    }

    private void Take(JsonProperty member)
    {
        int index = Array.FindIndex(_keys, member.NameEquals);
        if (index < 0)
            _state.Faults.Add(_at[member.Name], $"{Phrase.Quoted(member.Name)} is not a known key here; allowed are {Phrase.List(_keys)}.{(_state.Faults.IsFull ? "" : Phrase.Suggestion(member.Name, _keys))}");
        else if (_values[index].ValueKind != JsonValueKind.Undefined)
            _state.Faults.Add(_at[member.Name], $"`{member.Name}` must be given once; it is given more than once.");
        else
            _values[index] = member.Value;
    }
}
