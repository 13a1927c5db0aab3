using System.Text.Json;
using System.Text.Json.Nodes;
using HeatSpread.Boards;

namespace HeatSpread.Insight.Studies;

/// <summary>A board and what surrounds it. The same values of all axes that change the layout give the same board, as an object.</summary>
/// <param name="Board">Checked.</param>
/// <param name="Conditions">Checked.</param>
public sealed record StudyCase(Board Board, Conditions Conditions);

/// <summary>A variant that is no sound layout, or no sound conditions.</summary>
/// <param name="faults">Pointers into <c>/layout</c> and <c>/conditions</c> of the variant.</param>
public sealed class StudyCaseException(IReadOnlyList<Fault> faults) : Exception(faults[0].Pointer + ": " + faults[0].Detail)
{
    public IReadOnlyList<Fault> Faults { get; } = faults;
}

/// <summary>The base of a study, and its variants. Not safe for several threads at once.</summary>
public sealed class StudyCases
{
    private readonly JsonObject _root;
    private readonly LayoutLimits _limits;
    private (StudyAxis[] Axes, double[] Values, Board Board)? _last;

    /// <param name="layoutJson">Canonical JSON of the layout, UTF-8.</param>
    /// <param name="conditionsJson">Sound conditions for it, UTF-8.</param>
    /// <param name="board">What the layout describes.</param>
    /// <param name="unit">Of its plan coordinates.</param>
    /// <param name="limits">For the variants; null: the defaults.</param>
    public StudyCases(ReadOnlySpan<byte> layoutJson, ReadOnlySpan<byte> conditionsJson, Board board, string unit, LayoutLimits? limits = null)
    {
        _root = new JsonObject { ["layout"] = JsonNode.Parse(layoutJson), ["conditions"] = JsonNode.Parse(conditionsJson) };
        (_limits, Unit) = (limits ?? LayoutLimits.Default, unit);
        Base = new(board, ReadConditions(_root["conditions"]!, board));
    }

    /// <summary>Nothing varied.</summary>
    public StudyCase Base { get; }

    /// <summary><c>mm</c> or <c>inch</c>.</summary>
    public string Unit { get; }

    internal JsonObject Root => _root;

    /// <summary>What the base has of something that is varied; null where that is not one number.</summary>
    public double? BaseOf(StudyAxis axis)
    {
        ArgumentNullException.ThrowIfNull(axis);
        return axis.Target.Base(_root);
    }

    /// <summary>The variant with a value on each of some axes.</summary>
    /// <exception cref="StudyCaseException">It is not sound.</exception>
    public StudyCase At(IReadOnlyList<StudyAxis> axes, IReadOnlyList<double> values)
    {
        ArgumentNullException.ThrowIfNull(axes);
        ArgumentNullException.ThrowIfNull(values);
        var board = BoardAt(axes, values);
        var root = new JsonObject { ["conditions"] = _root["conditions"]!.DeepClone() };
        for (int axis = 0; axis < axes.Count; axis++)
        {
            if (!axes[axis].ChangesLayout) axes[axis].Target.Apply(root, values[axis], axes[axis].IsRelative, axes[axis].Words);
        }
        return new(board, ReadConditions(root["conditions"]!, board));
    }

    private Board BoardAt(IReadOnlyList<StudyAxis> axes, IReadOnlyList<double> values)
    {
        int[] changing = [.. Enumerable.Range(0, axes.Count).Where(axis => axes[axis].ChangesLayout)];
        if (changing.Length == 0) return Base.Board;
        StudyAxis[] changed = [.. changing.Select(axis => axes[axis])];
        double[] to = [.. changing.Select(axis => values[axis])];
        if (_last is { } last && last.Axes.AsSpan().SequenceEqual(changed) && last.Values.AsSpan().SequenceEqual(to)) return last.Board;
        var root = new JsonObject { ["layout"] = _root["layout"]!.DeepClone() };
        foreach (int axis in changing) axes[axis].Target.Apply(root, values[axis], axes[axis].IsRelative, axes[axis].Words);
        using var document = JsonDocument.Parse(root["layout"]!.ToJsonString(), new JsonDocumentOptions { MaxDepth = _limits.Depth });
        var reading = LayoutReading.ReadBoard(document.RootElement, "/layout", _limits);
        if (reading.Board is null) throw new StudyCaseException(reading.Faults);
        _last = (changed, to, reading.Board);
        return reading.Board;
    }

    private Conditions ReadConditions(JsonNode json, Board board)
    {
        using var document = JsonDocument.Parse(json.ToJsonString(), new JsonDocumentOptions { MaxDepth = _limits.Depth });
        var reading = ConditionsReader.Read(document.RootElement, "/conditions", board, Unit, _limits);
        return reading.Value ?? throw new StudyCaseException(reading.Faults);
    }
}
