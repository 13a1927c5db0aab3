using HeatSpread.Boards;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Revisions;

/// <summary>
/// The unknowns of two boards on one grid of the plan: sheets of both stacks, rows that are alike laid upon each other, and the nodes of both boards' parts by part and name.
/// A vector over them holds the sheets' cells, then the nodes.
/// </summary>
internal sealed class UnionFrame
{
    private readonly int[] _firstSheet;
    private readonly int[] _slices;
    private readonly int[] _baselineRow;
    private readonly int[] _candidateRow;
    private readonly Dictionary<(string Part, string Node), int> _nodes = [];

    private UnionFrame(ThermalNetwork baseline, ThermalNetwork candidate)
    {
        Plane = baseline.PlaneCount;
        (_baselineRow, _candidateRow, int rows) = Align(baseline.Board.Rows, candidate.Board.Rows);
        _slices = new int[rows];
        for (int row = 0; row < _baselineRow.Length; row++) _slices[_baselineRow[row]] = baseline.Stack.CountOfRow[row];
        for (int row = 0; row < _candidateRow.Length; row++) _slices[_candidateRow[row]] = Math.Max(_slices[_candidateRow[row]], candidate.Stack.CountOfRow[row]);
        _firstSheet = new int[rows];
        for (int row = 1; row < rows; row++) _firstSheet[row] = _firstSheet[row - 1] + _slices[row - 1];
        SheetCount = _slices.Sum();
        foreach (var part in baseline.Board.Parts.Concat(candidate.Board.Parts))
        {
            foreach (string node in part.Network?.Nodes ?? []) _nodes.TryAdd((part.Id, node), _nodes.Count);
        }
    }

    public int Plane { get; }

    public int SheetCount { get; }

    public int CellCount => SheetCount * Plane;

    public int Count => CellCount + _nodes.Count;

    /// <summary>Whether each row of the baseline has its like in the candidate, and each of the candidate in the baseline.</summary>
    public bool RowsAgree => _baselineRow.SequenceEqual(_candidateRow);

    public static UnionFrame Of(ThermalNetwork baseline, ThermalNetwork candidate) => new(baseline, candidate);

    /// <summary>The place of every unknown of a network in the frame.</summary>
    /// <param name="network">Made of rows of the one board or, row by row where <see cref="RowsAgree"/>, of either.</param>
    /// <param name="ofCandidate">Whether its rows are numbered as the candidate's.</param>
    public Placement Place(ThermalNetwork network, bool ofCandidate)
    {
        int[] rows = ofCandidate ? _candidateRow : _baselineRow;
        var sheets = new int[network.Stack.Sheets.Count];
        for (int row = 0; row < rows.Length; row++)
        {
            int count = network.Stack.CountOfRow[row], start = _firstSheet[rows[row]] + (_slices[rows[row]] - count) / 2; // both odd: the centres meet
            for (int slice = 0; slice < count; slice++) sheets[network.Stack.FirstOfRow[row] + slice] = start + slice;
        }
        int[] nodes = [.. network.Board.Parts.SelectMany(part => (part.Network?.Nodes ?? []).Select(node => CellCount + _nodes[(part.Id, node)]))];
        return new Placement(network, sheets, nodes);
    }

    /// <summary>
    /// A network's field over the whole frame. Where the network has nothing the value is that of the nearest thing that it has: any would do, as the ledger's sum does not depend on it, but a
    /// far-fetched one would give large entries that cancel.
    /// </summary>
    /// <param name="own">Where the field's unknowns lie.</param>
    /// <param name="values">Over the network's unknowns.</param>
    /// <param name="other">The other board's network, for nodes that the first has not.</param>
    public double[] Lift(Placement own, double[] values, Placement other)
    {
        var lifted = new double[Count];
        var share = own.Network.Raster.BoardShareArray;
        bool holes = share.Contains(0);
        var has = new bool[SheetCount];
        foreach (int sheet in own.Sheets) has[sheet] = true;
        Parallel.For(0, own.Sheets.Length, sheet =>
        {
            var plane = lifted.AsSpan(own.Sheets[sheet] * Plane, Plane);
            values.AsSpan(sheet * Plane, Plane).CopyTo(plane);
            if (holes) Spread(plane, share, own.Network.Raster.Grid);
        });
        for (int sheet = 0; sheet < SheetCount; sheet++)
        {
            if (has[sheet]) continue;
            int nearest = Enumerable.Range(0, SheetCount).Where(s => has[s]).MinBy(s => Math.Abs(s - sheet));
            lifted.AsSpan(nearest * Plane, Plane).CopyTo(lifted.AsSpan(sheet * Plane, Plane));
        }
        for (int node = 0; node < own.Nodes.Length; node++) lifted[own.Nodes[node]] = values[own.Sheets.Length * Plane + node];
        SpreadToNodes(lifted, [.. own.Nodes], other);
        return lifted;
    }

    /// <summary>Nodes that the field has not take the mean of what they are linked to.</summary>
    private static void SpreadToNodes(double[] lifted, HashSet<int> known, Placement other)
    {
        var grid = other.Network.Grid;
        for (int sweep = 0; sweep < 4; sweep++)
        {
            var sum = new double[other.Nodes.Length];
            var weight = new double[other.Nodes.Length];
            void Add(int node, int to, double conductance)
            {
                sum[node] += conductance * lifted[to];
                weight[node] += conductance;
            }
            foreach (var link in grid.NodeCellLinks) Add(link.Node, other.Place(link.Cell), link.Conductance);
            foreach (var link in grid.NodeNodeLinks)
            {
                if (known.Contains(other.Nodes[link.Second])) Add(link.First, other.Nodes[link.Second], link.Conductance);
                if (known.Contains(other.Nodes[link.First])) Add(link.Second, other.Nodes[link.First], link.Conductance);
            }
            int[] found = [.. Enumerable.Range(0, weight.Length).Where(node => weight[node] > 0 && !known.Contains(other.Nodes[node]))];
            if (found.Length == 0) return;
            foreach (int node in found) lifted[other.Nodes[node]] = sum[node] / weight[node];
            foreach (int node in found) known.Add(other.Nodes[node]);
        }
    }

    /// <summary>Cells without board take the value of the nearest with board, along rows and columns.</summary>
    private static void Spread(Span<double> plane, float[] share, BoardGrid grid)
    {
        var reached = new bool[plane.Length];
        var wave = new Queue<int>();
        for (int cell = 0; cell < share.Length; cell++)
        {
            reached[cell] = share[cell] > 0;
            if (reached[cell]) wave.Enqueue(cell);
        }
        while (wave.TryDequeue(out int cell))
        {
            int column = cell % grid.Columns;
            if (column > 0) Reach(cell - 1, cell, plane);
            if (column + 1 < grid.Columns) Reach(cell + 1, cell, plane);
            if (cell >= grid.Columns) Reach(cell - grid.Columns, cell, plane);
            if (cell + grid.Columns < plane.Length) Reach(cell + grid.Columns, cell, plane);
        }

        void Reach(int cell, int from, Span<double> values)
        {
            if (reached[cell]) return;
            reached[cell] = true;
            values[cell] = values[from];
            wave.Enqueue(cell);
        }
    }

    /// <summary>Lays two stacks upon each other: the longest common run of rows of one kind (copper of one name) that keeps the order.</summary>
    /// <returns>For each row its place in the common stack, and the number of places.</returns>
    private static (int[] First, int[] Second, int Count) Align(IReadOnlyList<StackRow> first, IReadOnlyList<StackRow> second)
    {
        static bool Alike(StackRow a, StackRow b) => a.Kind == b.Kind && (a.Kind != StackRowKind.Copper || a.Name == b.Name);
        var common = new int[first.Count + 1, second.Count + 1];
        for (int i = first.Count - 1; i >= 0; i--)
        {
            for (int j = second.Count - 1; j >= 0; j--)
            {
                common[i, j] = Alike(first[i], second[j]) ? common[i + 1, j + 1] + 1 : Math.Max(common[i + 1, j], common[i, j + 1]);
            }
        }
        var (places, otherPlaces, next, a, b) = (new int[first.Count], new int[second.Count], 0, 0, 0);
        while (a < first.Count || b < second.Count)
        {
            bool both = a < first.Count && b < second.Count && Alike(first[a], second[b]) && common[a, b] == common[a + 1, b + 1] + 1;
            if (both) (places[a++], otherPlaces[b++]) = (next, next);
            else if (b >= second.Count || (a < first.Count && common[a + 1, b] >= common[a, b + 1])) places[a++] = next;
            else otherPlaces[b++] = next;
            next++;
        }
        return (places, otherPlaces, next);
    }
}

/// <summary>Where the unknowns of a network lie in a frame.</summary>
/// <param name="Network">The network.</param>
/// <param name="Sheets">For each of its sheets the frame's.</param>
/// <param name="Nodes">For each of its nodes the frame's unknown.</param>
internal sealed record Placement(ThermalNetwork Network, int[] Sheets, int[] Nodes)
{
    private int Plane => Network.PlaneCount;

    /// <summary>The frame's unknown for one of the network's.</summary>
    public int Place(int unknown) => unknown < Network.Grid.CellCount ? Sheets[unknown / Plane] * Plane + unknown % Plane : Nodes[unknown - Network.Grid.CellCount];

    /// <summary>The network's unknown at a place of the frame; -1 where it has none.</summary>
    public int Find(int place)
    {
        int sheets = Array.IndexOf(Sheets, place / Plane), node = Array.IndexOf(Nodes, place);
        if (node >= 0) return Network.Grid.CellCount + node;
        return sheets >= 0 && Network.Raster.BoardShareArray[place % Plane] > 0 ? sheets * Plane + place % Plane : -1;
    }

    /// <summary>The values of the network's own unknowns, each less <paramref name="shift"/>.</summary>
    public double[] Gather(double[] lifted, double shift)
    {
        var own = new double[Network.Grid.CellCount + Network.Grid.NodeCount];
        Parallel.For(0, Sheets.Length, sheet =>
        {
            int from = Sheets[sheet] * Plane, to = sheet * Plane;
            for (int cell = 0; cell < Plane; cell++) own[to + cell] = lifted[from + cell] - shift;
        });
        for (int node = 0; node < Nodes.Length; node++) own[Network.Grid.CellCount + node] = lifted[Nodes[node]] - shift;
        return own;
    }
}
