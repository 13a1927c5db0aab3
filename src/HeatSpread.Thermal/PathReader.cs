using System.Runtime.CompilerServices;
using System.Runtime.InteropServices;
using HeatSpread.Boards;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal;

/// <summary>
/// By what each part's heat leaves it, from the flows of the links about the cells through which it enters the board: those that its pads touch, and those
/// under its body where heat enters there. What flows between two of these cells is inside the part and counts for nothing.
/// </summary>
internal sealed class PathReader
{
    private readonly ThermalNetwork _network;
    private readonly PartAttachments _parts;
    private readonly double[] _field;
    private readonly Dictionary<int, (double Conductance, double Heat)> _sinks;
    private readonly Dictionary<int, List<(int Net, double Conductance)>> _barrels;

    private PathReader(SolvedNetwork solved)
    {
        (_network, _parts, _field) = (solved.Network, solved.Parts, solved.Rise);
        HashSet<int> touched = [.. _parts.Terminals.SelectMany(each => each).Concat(_parts.Bodies).SelectMany(footprint => footprint.Cells)];
        _sinks = SinksOf(touched, solved);
        _barrels = BarrelsUnder(touched, _network);
    }

    /// <summary>By part.</summary>
    public static IReadOnlyList<PartPath>[] Read(SolvedNetwork solved)
    {
        if (solved.Board.Parts.Count == 0) return [];
        var reader = new PathReader(solved);
        return [.. Enumerable.Range(0, solved.Board.Parts.Count).Select(reader.PathsOf)];
    }

    private IReadOnlyList<PartPath> PathsOf(int part)
    {
        var sums = new Dictionary<(PathKind Kind, int Net, int Layer), double>();
        void Leave(PathKind kind, double watts, int net = -1, int layer = -1)
        {
            if (watts != 0) sums[(kind, net, layer)] = sums.GetValueOrDefault((kind, net, layer)) + watts;
        }

        Leave(PathKind.Ambient, ToAmbient(part));
        var region = RegionOf(part);
        foreach (var (unknown, net) in region) LeaveCell(unknown, net, region, Leave);
        double rest = _parts.Watts[part] - sums.Values.Sum();
        double enough = 1e-7 * Math.Max(Math.Abs(_parts.Watts[part]), sums.Values.Select(Math.Abs).DefaultIfEmpty().Max());
        if (Math.Abs(rest) > enough) Leave(PathKind.Shared, rest);
        return [.. sums.Select(sum => new PartPath(sum.Key.Kind, sum.Key.Net, sum.Key.Layer, sum.Value)).OrderBy(path => path.Kind).ThenByDescending(path => path.Watts)];
    }

    /// <summary>The cells through which heat enters the board, each with the net of its pad (of the copper there, under a body).</summary>
    private Dictionary<int, int> RegionOf(int part)
    {
        var given = _network.Board.Parts[part];
        var region = new Dictionary<int, int>();
        bool throughBody = given.Terminals.Count == 0 || given.Network is { } inner && inner.Links.Any(link => link.Target == PartLinkTarget.Board);
        for (int terminal = 0; terminal < given.Terminals.Count; terminal++)
        {
            var footprint = _parts.Terminals[part][terminal];
            // where two pads touch one cell it is the first one's
            foreach (int cell in footprint.Cells) region.TryAdd(cell, given.Terminals[terminal].Net);
        }
        if (!throughBody) return region;
        foreach (int cell in _parts.Bodies[part].Cells) region.TryAdd(cell, NetAt(cell));
        return region;
    }

    private int NetAt(int unknown)
    {
        int layer = _network.Stack.Sheets[unknown / _network.PlaneCount].Layer;
        return layer < 0 ? -1 : _network.Raster.Layers[layer].Net[unknown % _network.PlaneCount];
    }

    private void LeaveCell(int unknown, int net, Dictionary<int, int> region, Action<PathKind, double, int, int> leave)
    {
        var (grid, plan) = (_network.Grid, _network.Raster.Grid);
        int plane = _network.PlaneCount, sheet = unknown / plane, cell = unknown % plane, column = cell % plan.Columns, row = cell / plan.Columns;
        int layer = _network.Stack.Sheets[sheet].Layer;
        void Sideways(int link, int neighbour, bool east)
        {
            double watts = Flow(east ? grid.East[link] : grid.North[link], unknown, neighbour, region);
            double copper = watts == 0 ? 0 : _network.CopperShareOfLink(link, east);
            leave(PathKind.OuterCopper, watts * copper, net, layer);
            leave(PathKind.Laminate, watts * (1 - copper), -1, -1);
        }

        if (column + 1 < plan.Columns) Sideways(unknown, unknown + 1, east: true);
        if (column > 0) Sideways(unknown - 1, unknown - 1, east: true);
        if (row + 1 < plan.Rows) Sideways(unknown, unknown + plan.Columns, east: false);
        if (row > 0) Sideways(unknown - plan.Columns, unknown - plan.Columns, east: false);
        if (sheet + 1 < _network.Stack.Sheets.Count) Through(unknown, unknown + plane, region, leave);
        if (sheet > 0) Through(unknown, unknown - plane, region, leave);
        var (conductance, heat) = _sinks[unknown];
        leave(PathKind.Face, conductance * _field[unknown] - heat, -1, -1);
    }

    private void Through(int unknown, int neighbour, Dictionary<int, int> region, Action<PathKind, double, int, int> leave)
    {
        int link = Math.Min(unknown, neighbour);
        double watts = Flow(_network.Grid.Below[link], unknown, neighbour, region);
        if (watts == 0) return;
        double byVias = 0;
        foreach (var (net, conductance) in _barrels.GetValueOrDefault(link) ?? [])
        {
            double flow = Flow((float)conductance, unknown, neighbour, region);
            leave(PathKind.Vias, flow, net, -1);
            byVias += flow;
        }
        leave(IsOutward(unknown, neighbour) ? PathKind.Face : PathKind.Laminate, watts - byVias, -1, -1);
    }

    /// <summary>From the outermost copper towards the mask; a board with one layer of copper has two such ways.</summary>
    private bool IsOutward(int from, int to)
    {
        var sheets = _network.Stack.Sheets;
        int step = Math.Sign(to - from);
        for (int sheet = to / _network.PlaneCount; sheet >= 0 && sheet < sheets.Count; sheet += step)
        {
            if (_network.Board.Rows[sheets[sheet].Row].Kind != StackRowKind.Mask) return false;
        }
        return true;
    }

    private double Flow(float conductance, int from, int to, Dictionary<int, int> region) =>
        conductance == 0 || region.ContainsKey(to) ? 0 : conductance * (_field[from] - _field[to]);

    private double ToAmbient(int part)
    {
        if (_network.Board.Parts[part].Network is not { } inner) return 0;
        return inner.Links.Where(link => link.Target == PartLinkTarget.Ambient).Sum(link => _field[_parts.Unknown(part, link.FromNode)] / link.KelvinPerWatt);
    }

    /// <summary>Links of some unknowns to the sink, W/K, and what the surroundings bring in there where the board is at the ambient, W.</summary>
    private static Dictionary<int, (double Conductance, double Heat)> SinksOf(HashSet<int> touched, SolvedNetwork solved)
    {
        var sinks = touched.ToDictionary(unknown => unknown, _ => (0.0, 0.0));
        void Add(int unknown, double conductance, double heat)
        {
            ref var sink = ref CollectionsMarshal.GetValueRefOrNullRef(sinks, unknown);
            if (!Unsafe.IsNullRef(ref sink)) sink = (sink.Item1 + conductance, sink.Item2 + heat);
        }

        foreach (var face in new[] { solved.Faces[BoardSide.Top], solved.Faces[BoardSide.Bottom] })
        {
            foreach (int unknown in touched)
            {
                if (unknown < face.Start || unknown >= face.Start + face.CellCount) continue;
                var (conductance, heat) = face.FilmLink(unknown - face.Start);
                Add(unknown, conductance, heat);
            }
            foreach (var held in face.Contacts)
            {
                double conductance = face.Conductance(held);
                Add(face.Start + held.Cell, conductance, conductance * held.SinkRise);
            }
        }
        foreach (var (unknown, conductance) in solved.Rim.Links) Add(unknown, conductance, 0);
        return sinks;
    }

    /// <summary>By link (its upper cell), where a part lies above or below it.</summary>
    private static Dictionary<int, List<(int Net, double Conductance)>> BarrelsUnder(HashSet<int> touched, ThermalNetwork network)
    {
        var barrels = new Dictionary<int, List<(int, double)>>();
        for (int group = 0; group < network.Vias.Count; group++)
        {
            var (first, last, cells, lengths) = network.Vias[group];
            for (int i = 0; i < cells.Length; i++)
            {
                for (int sheet = first; sheet < last; sheet++)
                {
                    int link = sheet * network.PlaneCount + cells[i];
                    if (!touched.Contains(link) && !touched.Contains(link + network.PlaneCount)) continue;
                    if (!barrels.TryGetValue(link, out var at)) barrels.Add(link, at = []);
                    at.Add((network.Board.Vias[group].Net, lengths[i] / network.Distance(sheet)));
                }
            }
        }
        return barrels;
    }
}
