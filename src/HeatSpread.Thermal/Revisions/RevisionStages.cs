using HeatSpread.Boards;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;
using HeatSpread.Thermal.Raster;

namespace HeatSpread.Thermal.Revisions;

/// <summary>The stages from the baseline to the candidate; each is called once, in the order in which they stand here.</summary>
internal sealed class RevisionStages
{
    /// <summary>Most rows of a stack that are changed one by one; each takes a network.</summary>
    private const int MostRows = 6;

    private readonly SolvedNetwork _baseline, _candidate;

    /// <summary>The baseline's, with what each part made in its field.</summary>
    private readonly Conditions _conditions;
    private readonly UnionFrame _frame;
    private readonly AdjointSums _sums;
    private readonly CancellationToken _cancellationToken;
    private readonly List<RevisionChange> _changes = [];

    /// <summary>The candidate with its nets numbered as the baseline's.</summary>
    private readonly Board _renumbered;

    // Where the stages stand: a board between the two, its copper, its network with the baseline's parts.
    private Board _board;
    private CopperRaster _raster;
    private Placement _placed;
    private PartAttachments _parts;

    public RevisionStages(SolvedNetwork baseline, SolvedNetwork candidate, UnionFrame frame, AdjointSums sums, CancellationToken cancellationToken)
    {
        (_baseline, _candidate, _conditions, _frame, _sums, _cancellationToken) = (baseline, candidate, SurroundingsOf.WithWatts(baseline), frame, sums, cancellationToken);
        (_board, _raster, _parts) = (baseline.Board, baseline.Raster, baseline.Parts);
        _placed = frame.Place(baseline.Network, ofCandidate: false);
        _renumbered = NetNumbers.AsIn(baseline.Board, candidate.Board);
    }

    public IReadOnlyList<RevisionChange> Changes => _changes;

    /// <summary>The baseline's own materials at the candidate's temperatures; all later stages are at these.</summary>
    public void Conductivities()
    {
        if (!_baseline.Network.DependsOnTemperature) return;
        double[] former = Everything();
        StepTo(_board, _raster);
        _changes.Add(new() { Kind = ChangeKind.ConductivityChanged, Kelvin = AdjointSums.Less(former, Everything()) });
    }

    /// <summary>The baseline's copper on the candidate's outline. Board that is new is bare; what lies on board that is gone goes with it.</summary>
    public void Outline()
    {
        if (SurroundingsOf.SameRegion(_board.Outline, _candidate.Board.Outline)) return;
        double[] former = Everything();
        var board = _board with { Outline = _candidate.Board.Outline };
        StepTo(board, CopperRaster.Build(board, _raster.Grid, _cancellationToken));
        _changes.Add(new() { Kind = ChangeKind.OutlineChanged, Kelvin = AdjointSums.Less(former, Everything()) });
    }

    /// <summary>On each layer of the baseline first what the candidate has not is taken away, then what it has beyond is put there.</summary>
    public void Copper()
    {
        int[] candidateLayer = [.. _board.Layers.Select(layer => Find(_candidate.Board.Layers, other => other.Name == layer.Name))];
        var differences = new CopperDifference?[candidateLayer.Length];
        Parallel.For(0, differences.Length, new ParallelOptions { CancellationToken = _cancellationToken }, layer =>
        {
            if (candidateLayer[layer] >= 0) differences[layer] = CopperDifference.Of(_board, _raster, layer, _renumbered, _candidate.Raster, candidateLayer[layer], _cancellationToken);
        });
        if (differences.All(difference => difference is null)) return;
        LayerRaster[] kept = [.. differences.Select((difference, layer) => difference?.Kept ?? _raster.Layers[layer])];
        LayerRaster[] final = [.. candidateLayer.Select((other, layer) => other < 0 ? _raster.Layers[layer] : _candidate.Raster.Layers[other])];
        foreach (bool adds in (ReadOnlySpan<bool>)[false, true])
        {
            var (former, formerParts) = (_placed, _parts);
            StepNear(_raster.With(adds ? final : kept), [.. differences.OfType<CopperDifference>().Select(difference => difference.Window)]);
            var stage = new CopperStage(_board, [.. differences.Select(difference => adds ? difference?.Added : difference?.Removed)], _sums, adds);
            stage.Compare(former, formerParts, _placed, _parts, _conditions);
            _changes.AddRange(stage.Changes(_renumbered.Nets));
        }
    }

    /// <summary>The candidate's vias between the baseline's layers.</summary>
    public void Vias()
    {
        var vias = ViaGroups.Between(_renumbered, _board.Layers);
        var stage = new ViaStage(_placed, _sums);
        _changes.AddRange(stage.Changes(_board.Vias, vias, _renumbered.Nets));
        _board = _board with { Vias = vias };
    }

    /// <summary>The candidate's rows, and with them layers that only one of the two has.</summary>
    public void Stack()
    {
        var rows = _candidate.Board.Rows;
        bool agrees = _frame.RowsAgree;
        int[] changed = agrees ? [.. Enumerable.Range(0, rows.Count).Where(row => !SurroundingsOf.SameRow(_board.Rows[row], rows[row]))] : [];
        if (agrees && changed.Length == 0)
        {
            _placed = _frame.Place(ThermalNetwork.Bare(_candidate.Board with { Parts = _board.Parts }, _candidate.Raster), ofCandidate: true);
            AttachAgain();
            return;
        }
        StepTo(_board, _raster); // with the candidate's vias
        if (agrees && changed.Length is > 1 and <= MostRows)
        {
            foreach (int row in changed)
            {
                double[] former = Everything();
                StepTo(_board with { Rows = [.. _board.Rows.Select((given, index) => index == row ? rows[row] : given)] }, _raster);
                AddRow(row, AdjointSums.Less(former, Everything()));
            }
        }
        double[] before = Everything();
        StepTo(_candidate.Board with { Parts = _board.Parts }, _candidate.Raster, ofCandidate: true);
        double[] rest = AdjointSums.Less(before, Everything());
        if (changed.Length == 1) AddRow(changed[0], rest);
        else _changes.Add(new() { Kind = ChangeKind.StackChanged, Kelvin = rest });
    }

    /// <summary>The candidate's parts; those in both keep their watts for now.</summary>
    public void Parts()
    {
        var (former, formerParts) = (_placed, _parts);
        double[][] gone = _sums.Parts(former, formerParts, _conditions.AmbientCelsius);
        var network = ThermalNetwork.Bare(_candidate.Board, _candidate.Raster);
        _placed = _frame.Place(network, ofCandidate: true);
        var watts = new Dictionary<int, double>();
        for (int part = 0; part < _candidate.Board.Parts.Count; part++)
        {
            int old = Find(former.Network.Board.Parts, other => other.Id == _candidate.Board.Parts[part].Id);
            watts[part] = old >= 0 ? formerParts.Watts[old] : _candidate.WattsOf(part);
        }
        _parts = PartAttachments.Attach(network, _conditions with { Watts = watts }, _candidate.Parts);
        double[][] come = _sums.Parts(_placed, _parts, _conditions.AmbientCelsius);
        var ids = former.Network.Board.Parts.Select(part => part.Id).Union(_candidate.Board.Parts.Select(part => part.Id));
        foreach (string id in ids)
        {
            double[] Of(double[][] sums, Board board) => Find(board.Parts, part => part.Id == id) is >= 0 and int index ? sums[index] : new double[_sums.Readings];
            double[] kelvin = AdjointSums.Less(Of(gone, former.Network.Board), Of(come, _candidate.Board));
            if (kelvin.Any(k => k != 0)) _changes.Add(new() { Kind = ChangeKind.PartChanged, Kelvin = kelvin, Name = id });
        }
    }

    public void Watts()
    {
        for (int part = 0; part < _candidate.Board.Parts.Count; part++)
        {
            double before = _parts.Watts[part], after = _candidate.WattsOf(part);
            if (before == after) continue;
            double[] kelvin = [.. _sums.HeatWorth(_placed, _parts, part).Select(worth => (after - before) * worth)];
            _changes.Add(new() { Kind = ChangeKind.WattsChanged, Kelvin = kelvin, Name = _candidate.Board.Parts[part].Id, Value = (before, after) });
        }
    }

    /// <summary>What the currents make of the copper's resistance at its temperature, in the one field and in the other.</summary>
    public void Currents()
    {
        if (_baseline.Coupled is null && _candidate.Coupled is null) return;
        double[] Worth(SolvedNetwork solved, bool ofCandidate)
        {
            var heat = new double[solved.Rise.Length];
            solved.Coupled?.AddHeat(heat);
            return _sums.Worth(_frame.Place(solved.Network, ofCandidate), heat);
        }
        double[] kelvin = AdjointSums.Less(Worth(_candidate, true), Worth(_baseline, false));
        if (kelvin.Any(k => k != 0)) _changes.Add(new() { Kind = ChangeKind.WattsChanged, Kelvin = kelvin, Value = (_baseline.Coupled?.CopperWatts ?? 0, _candidate.Coupled?.CopperWatts ?? 0) });
    }

    /// <summary>Ambient, each side, edges and contacts, one after the other.</summary>
    public void Surroundings()
    {
        var given = _candidate.Conditions;
        var conditions = _conditions;
        // Films that are linear and the same take the same of the same field.
        if (_candidate.IsLinear && given.AmbientCelsius == conditions.AmbientCelsius && given.Top == conditions.Top && given.Bottom == conditions.Bottom && given.EdgesFilm == conditions.EdgesFilm && SurroundingsOf.SameContacts(given.Contacts, conditions.Contacts)) return;
        double[] former = Outflow(conditions);
        void Step(string name, Conditions next, (double, double)? value = null, bool isLast = false)
        {
            double[] now = isLast ? Outflow(given, _candidate.Faces, _candidate.Rim) : Outflow(next);
            double[] kelvin = AdjointSums.Less(former, now);
            if (kelvin.Any(k => k != 0)) _changes.Add(new() { Kind = ChangeKind.SurfacesChanged, Kelvin = kelvin, Name = name, Value = value });
            (conditions, former) = (next, now);
        }

        if (given.AmbientCelsius != conditions.AmbientCelsius)
        {
            Step("ambient", SurroundingsOf.Ambient(conditions, given), (conditions.AmbientCelsius, given.AmbientCelsius));
        }
        if (given.Top != conditions.Top) Step("top", conditions with { Top = given.Top }, Films(conditions.Top, given.Top));
        if (given.Bottom != conditions.Bottom) Step("bottom", conditions with { Bottom = given.Bottom }, Films(conditions.Bottom, given.Bottom));
        if (given.EdgesFilm != conditions.EdgesFilm) Step("edges", conditions with { EdgesFilm = given.EdgesFilm }, (conditions.EdgesFilm, given.EdgesFilm));
        if (!SurroundingsOf.SameContacts(given.Contacts, conditions.Contacts)) Step("contacts", conditions with { Contacts = given.Contacts });
        Step("surfaces", given, isLast: true);

        double[] Outflow(Conditions under, OuterFaces? faces = null, RimFilm? rim = null)
        {
            var network = _candidate.Network;
            double[] flows = _sums.Outflow(_placed, under, faces ?? new OuterFaces(network, under), rim ?? new RimFilm(network, under.EdgesFilm));
            double[] worth = _sums.Worth(_placed, flows);
            double[][] parts = _sums.Parts(_placed, _parts, under.AmbientCelsius); // links of parts to the ambient
            for (int reading = 0; reading < worth.Length; reading++) worth[reading] += parts.Sum(part => part[reading]);
            return worth;
        }
    }

    /// <summary>W/(m²·K) of two given films; null where one is of air.</summary>
    private static (double, double)? Films(Surface before, Surface after) => (before, after) is (FilmSurface first, FilmSurface second) ? (first.WattsPerSquareMeterKelvin, second.WattsPerSquareMeterKelvin) : null;

    private void AddRow(int row, double[] kelvin)
    {
        StackRow before = _baseline.Board.Rows[row], after = _candidate.Board.Rows[row];
        bool isThickness = SurroundingsOf.SameRow(before with { Thickness = after.Thickness }, after);
        _changes.Add(new()
        {
            Kind = ChangeKind.StackChanged,
            Kelvin = kelvin,
            Name = after.Name ?? $"{after.Kind.ToString().ToLowerInvariant()} {row + 1}",
            Value = isThickness ? (before.Thickness, after.Thickness) : null,
        });
    }

    private void StepTo(Board board, CopperRaster raster, bool ofCandidate = false)
    {
        (_board, _raster) = (board, raster);
        _placed = _frame.Place(ThermalNetwork.Assemble(board, raster, _cancellationToken), ofCandidate);
        _sums.TakeTemperatures(_placed, _cancellationToken);
        AttachAgain();
    }

    /// <summary>As <see cref="StepTo"/>, to other copper in some windows.</summary>
    private void StepNear(CopperRaster raster, GridWindow[] windows)
    {
        _raster = raster;
        _placed = _frame.Place(_placed.Network.Edited(_board, raster, windows.Min(window => window.FirstRow), windows.Max(window => window.LastRow), _cancellationToken), ofCandidate: false);
        _sums.TakeTemperatures(_placed, _cancellationToken);
        AttachAgain();
    }

    private void AttachAgain() => _parts = PartAttachments.Attach(_placed.Network, _conditions, _baseline.Parts);

    /// <summary>All flows less all heat, under the baseline's conditions.</summary>
    private double[] Everything()
    {
        double[] sum = _sums.Inner(_placed), outflow = _sums.Worth(_placed, _sums.Outflow(_placed, _conditions));
        double[][] parts = _sums.Parts(_placed, _parts, _conditions.AmbientCelsius);
        return [.. sum.Select((inner, reading) => inner + outflow[reading] + parts.Sum(part => part[reading]))];
    }

    internal static int Find<T>(IReadOnlyList<T> list, Predicate<T> match)
    {
        for (int i = 0; i < list.Count; i++)
        {
            if (match(list[i])) return i;
        }
        return -1;
    }
}
