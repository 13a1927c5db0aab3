using System.Globalization;
using System.Text;

namespace HeatSpread.Boards;

/// <summary>A JSON Pointer (RFC 6901) that is put into text only when a fault needs it.</summary>
public sealed class JsonPointer
{
    private readonly JsonPointer? _parent;
    private readonly string? _key;
    private readonly int _index;

    private JsonPointer(JsonPointer? parent, string? key, int index)
    {
        _parent = parent;
        _key = key;
        _index = index;
    }

    /// <param name="text">A pointer already in text; it begins all that are made from it.</param>
    public static JsonPointer Root(string text) => new(null, text, 0);

    public JsonPointer this[string key] => new(this, key, 0);

    public JsonPointer this[int index] => new(this, null, index);

    public override string ToString()
    {
        var text = new StringBuilder();
        AppendTo(text);
        return text.ToString();
    }

    private void AppendTo(StringBuilder text)
    {
        if (_parent is null)
        {
            text.Append(_key);
            return;
        }
        _parent.AppendTo(text);
        text.Append('/');
        if (_key is null) text.Append(CultureInfo.InvariantCulture, $"{_index}");
        else text.Append(_key.Replace("~", "~0", StringComparison.Ordinal).Replace("/", "~1", StringComparison.Ordinal));
    }
}
