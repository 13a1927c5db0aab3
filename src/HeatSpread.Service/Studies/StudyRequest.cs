using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Insight.Correlation;
using HeatSpread.Insight.Studies;
using HeatSpread.Insight.Transients;
using HeatSpread.Service.Jobs;
using HeatSpread.Service.Layouts;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Studies;

/// <summary>What a study is to find out: <see cref="Plan"/> for a sweep or sample, or one of the others, as its kind says; the rest are null.</summary>
/// <param name="Kind">Which.</param>
/// <param name="Axes">Posted, of a plan its one.</param>
internal sealed record StudyAim(StudyKind Kind, IReadOnlyList<StudyAxis> Axes)
{
    public StudyPlan? Plan { get; init; }

    public DeratingAim? Derating { get; init; }

    public CopperAim? Copper { get; init; }

    public TransientPlan? Transient { get; init; }

    public CorrelationPlan? Correlation { get; init; }
}

/// <param name="Quantities">One a curve.</param>
/// <param name="Ambients">°C.</param>
internal sealed record DeratingAim(IReadOnlyList<DeratingQuantity> Quantities, IReadOnlyList<double> Ambients);

/// <param name="Part">Index.</param>
/// <param name="LimitCelsius">To be met.</param>
/// <param name="Least">Lower bound of the search.</param>
/// <param name="Most">Upper bound.</param>
/// <param name="Resolution">Of the value.</param>
internal sealed record CopperAim(int Part, double LimitCelsius, double Least, double Most, double Resolution);

/// <summary>A request for a study that has passed every check.</summary>
/// <param name="Id">Digest of all that was asked and of the engine's build.</param>
/// <param name="Layout">Of the base.</param>
/// <param name="Conditions">Of the base.</param>
/// <param name="Grid">How fine.</param>
/// <param name="Cases">Base and variants.</param>
/// <param name="Aim">What is asked for.</param>
/// <param name="ConditionsJson">As posted, in canonical form.</param>
/// <param name="AskedJson">All members but layout and conditions, as posted, in canonical form.</param>
internal sealed record StudyRequest(string Id, LayoutInUse Layout, Conditions Conditions, GridChoice Grid, StudyCases Cases, StudyAim Aim, byte[] ConditionsJson, byte[] AskedJson) : Work(Id)
{
    private const double CellsPerSecond = 1e6;

    /// <summary>Fields that a linear study takes, and solves that a search, a transient and a fit take, about.</summary>
    private const int UsualFields = 3, UsualTrials = 8, UsualSteps = 300, UsualFits = 40;

    /// <summary>Of a search.</summary>
    private const int MostTrials = 60;

    /// <summary>Cells of a transient or a fit where no pitch is asked for, at most.</summary>
    private const double CellsOfMany = 4e5;

    public override string Kind => StudyWork.KindName;

    /// <summary>Results that there will be: points, ambients of all curves, or the most trials.</summary>
    public int Results => Aim.Plan?.Points.Count ?? (Aim.Derating is { } derating ? derating.Quantities.Count * derating.Ambients.Count : Aim.Copper is not null ? MostTrials : 1);

    /// <summary>From the size of the base and about as many solves as it will take.</summary>
    public override double ExpectedSeconds
    {
        get
        {
            if (Aim.Transient is not null || Aim.Correlation is not null) return (Grid.PitchMeters is { } asked ? Layout.CellsAt(asked) : CellsOfMany) / CellsPerSecond * (Aim.Transient is not null ? UsualSteps : UsualFits);
            double cells = Grid.PitchMeters is { } pitch ? Layout.CellsAt(pitch) : Grid.MaximumCells;
            bool linear = ThermalSolve.IsLinear(Layout.Board, Conditions) && !Aim.Axes.Any(axis => axis.ChangesLayout);
            int solves = Aim.Copper is not null ? UsualTrials : linear ? UsualFields : Aim.Derating is null ? Results : Results * UsualTrials;
            return cells / CellsPerSecond * (1 + solves);
        }
    }

    /// <summary>The request as one that can be posted, the layout whole.</summary>
    public override byte[] Document()
    {
        using var stream = new MemoryStream();
        using (var writer = new Utf8JsonWriter(stream))
        {
            writer.WriteStartObject();
            writer.WritePropertyName("layout");
            writer.WriteRawValue(Layout.Canonical);
            writer.WritePropertyName("conditions");
            writer.WriteRawValue(ConditionsJson);
            using var asked = JsonDocument.Parse(AskedJson);
            foreach (var member in asked.RootElement.EnumerateObject()) member.WriteTo(writer);
            writer.WriteEndObject();
        }
        return stream.ToArray();
    }
}
