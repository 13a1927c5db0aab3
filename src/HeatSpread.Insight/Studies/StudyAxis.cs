namespace HeatSpread.Insight.Studies;

/// <summary>Something that a study varies, and over what.</summary>
public sealed class StudyAxis
{
    internal StudyAxis(AxisTarget target, bool isRelative, IReadOnlyList<double> values, IReadOnlyList<string>? words, Distribution? distribution)
    {
        (Target, IsRelative, Values, Words, Distribution) = (target, isRelative, values, words, distribution);
    }

    /// <summary>For people, such as <c>watts of U1</c>.</summary>
    public string Label => Target.Label;

    /// <summary>For people.</summary>
    public string Unit => IsRelative ? "times" : Target.Unit;

    /// <summary>Values are multiples of what the base has.</summary>
    public bool IsRelative { get; }

    /// <summary>Of a sweep; of an axis of words indices into <see cref="Words"/>. Empty where there is a distribution.</summary>
    public IReadOnlyList<double> Values { get; }

    /// <summary>Null: the values are numbers.</summary>
    public IReadOnlyList<string>? Words { get; }

    /// <summary>Of a sample; else null.</summary>
    public Distribution? Distribution { get; }

    /// <summary>Values are whole numbers.</summary>
    public bool IsWhole => Target.IsWhole;

    /// <summary>It changes the layout, else the conditions.</summary>
    public bool ChangesLayout => Target.InLayout;

    internal AxisTarget Target { get; }
}
