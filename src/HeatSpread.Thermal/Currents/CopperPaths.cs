namespace HeatSpread.Thermal.Currents;

/// <summary>Which pads a net's copper joins.</summary>
internal sealed class CopperPaths
{
    private readonly int[] _parent;

    /// <param name="copper">Of the net.</param>
    /// <param name="pads">Cells of its terminals: a pad is one conductor.</param>
    public CopperPaths(NetCopper copper, IEnumerable<int[]> pads)
    {
        _parent = [.. Enumerable.Range(0, copper.CellCount)];
        for (int cell = 0; cell < _parent.Length; cell++)
        {
            if (copper.East[cell] > 0) Join(cell, cell + 1);
            if (copper.North[cell] > 0) Join(cell, cell + copper.Grid.Columns);
            if (copper.Below[cell] > 0) Join(cell, cell + copper.PlaneCount);
        }
        foreach (int[] pad in pads)
        {
            foreach (int cell in pad) Join(pad[0], cell);
        }
    }

    /// <summary>The piece of copper that a cell is part of.</summary>
    public int PieceOf(int cell)
    {
        while (_parent[cell] != cell) cell = _parent[cell] = _parent[_parent[cell]];
        return cell;
    }

    /// <summary>For each conductor the first one that hangs together with it, by copper and by the conductors between.</summary>
    public int[] PiecesOf(Conductors conductors)
    {
        int[] first = [.. Enumerable.Range(0, conductors.Count)];
        var met = new Dictionary<int, int>();
        foreach (var (terminal, pad) in conductors.Pads)
        {
            if (pad.Length == 0) continue;
            int piece = PieceOf(pad[0]), conductor = conductors.At(terminal);
            if (!met.TryAdd(piece, conductor)) Merge(first, met[piece], conductor);
        }
        return first;
    }

    private static void Merge(int[] first, int a, int b)
    {
        int kept = Math.Min(first[a], first[b]), gone = Math.Max(first[a], first[b]);
        for (int i = 0; i < first.Length; i++)
        {
            if (first[i] == gone) first[i] = kept;
        }
    }

    private void Join(int a, int b)
    {
        int ra = PieceOf(a), rb = PieceOf(b);
        if (ra != rb) _parent[Math.Max(ra, rb)] = Math.Min(ra, rb);
    }
}
