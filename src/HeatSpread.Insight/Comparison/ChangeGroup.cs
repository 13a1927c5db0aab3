using HeatSpread.Boards;
using HeatSpread.Thermal;
using HeatSpread.Thermal.Revisions;

namespace HeatSpread.Insight.Comparison;

/// <summary>Differences that are one change to a person. The first tells its kind.</summary>
internal sealed class ChangeGroup
{
    private readonly BoardGrid _grid;
    private readonly List<RevisionChange> _changes = [];
    private Dictionary<string, Region>? _areas;

    /// <param name="grid">Of the cells.</param>
    /// <param name="changes">At least one, of one kind.</param>
    public ChangeGroup(BoardGrid grid, IEnumerable<RevisionChange> changes)
    {
        _grid = grid;
        _changes.AddRange(changes);
        Kelvin = new double[_changes[0].Kelvin.Length];
        foreach (var change in _changes) AddKelvin(change);
    }

    public ChangeKind Kind => _changes[0].Kind;

    public IReadOnlyList<RevisionChange> Changes => _changes;

    /// <summary>One a reading.</summary>
    public double[] Kelvin { get; }

    /// <summary>False for what no piece accounts for: it has no place and no name.</summary>
    public bool IsSomewhere => Kind is not (ChangeKind.CopperAdded or ChangeKind.CopperRemoved) || _changes[0].Cells.Count > 0;

    public void Add(RevisionChange change)
    {
        _changes.Add(change);
        AddKelvin(change);
    }

    /// <param name="id">Of the part.</param>
    /// <param name="part">Its place among the readings.</param>
    /// <param name="partError">Grid error of the part's temperature, K: nothing is claimed below it.</param>
    public LedgerEntry Entry(string id, int part, double partError)
    {
        bool isCopper = Kind is ChangeKind.CopperAdded or ChangeKind.CopperRemoved;
        LedgerPiece[] pieces = isCopper ? Pieces(part) : [];
        string? name = _changes[0].Name;
        return new()
        {
            Kind = Kind,
            Kelvin = Kelvin[part],
            Layer = isCopper ? pieces[0].Layer : Kind == ChangeKind.StackChanged ? name : null,
            Net = _changes[0].Net,
            Part = Kind is ChangeKind.PartChanged or ChangeKind.WattsChanged ? name : null,
            Surface = Kind == ChangeKind.SurfacesChanged ? name : null,
            Pieces = pieces,
            At = [.. _changes.SelectMany(change => change.At)],
            Text = LedgerWords.Of(this, pieces, id, Kelvin[part], partError),
        };
    }

    private LedgerPiece[] Pieces(int part)
    {
        var layers = _changes.Where(change => change.Cells.Count > 0).GroupBy(change => change.Name!);
        _areas ??= layers.ToDictionary(layer => layer.Key, layer => PointOutline.Of(layer.SelectMany(change => change.Cells), _grid));
        return [.. layers
            .Select(layer => new LedgerPiece(layer.Key, _areas[layer.Key], layer.Sum(change => change.Area), layer.Sum(change => change.Kelvin[part])))
            .OrderByDescending(piece => Math.Abs(piece.Kelvin))];
    }

    private void AddKelvin(RevisionChange change)
    {
        for (int reading = 0; reading < Kelvin.Length; reading++) Kelvin[reading] += change.Kelvin[reading];
    }
}
