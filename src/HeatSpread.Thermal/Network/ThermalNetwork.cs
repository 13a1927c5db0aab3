using HeatSpread.Boards;
using HeatSpread.Solver;

namespace HeatSpread.Thermal.Network;

/// <summary>
/// The board as a network of conductances: a cell for every sheet of the stack in every cell of the grid that holds board, a node for every
/// node of the parts' own networks. Temperatures are rises over ambient. Surfaces, contacts and heat are added by <see cref="Boundary.OuterFaces"/>
/// and <see cref="PartAttachments"/>.
/// </summary>
internal sealed class ThermalNetwork
{
    private readonly List<Barrels> _vias = [];

    private ThermalNetwork(Board board, CopperRaster raster)
    {
        Board = board;
        Raster = raster;
        Stack = new StackSheets(board);
        FirstNode = new int[board.Parts.Count];
        int nodes = 0;
        for (int part = 0; part < board.Parts.Count; part++)
        {
            FirstNode[part] = nodes;
            nodes += board.Parts[part].Network?.Nodes.Count ?? 0;
        }
        Grid = new ConductanceGrid(raster.Grid.Columns, raster.Grid.Rows, Stack.Sheets.Count, nodes);
        ThroughConductivity = new float[Grid.CellCount];
    }

    public Board Board { get; }

    public CopperRaster Raster { get; }

    public StackSheets Stack { get; }

    public ConductanceGrid Grid { get; }

    /// <summary>Of each part's first node among the network's nodes.</summary>
    public int[] FirstNode { get; }

    /// <summary>W/(m·K) through each cell, vias left out.</summary>
    public float[] ThroughConductivity { get; }

    /// <summary>Of every via group, in the board's order.</summary>
    public IReadOnlyList<Barrels> Vias => _vias;

    public int PlaneCount => Raster.Grid.CellCount;

    /// <summary>Unknowns that exist: cells with board, and nodes.</summary>
    public int UnknownCount => Raster.BoardShare.Count(share => share > 0) * Stack.Sheets.Count + Grid.NodeCount;

    /// <summary>A network without any conductances inside the board, for parts to be attached to.</summary>
    public static ThermalNetwork Bare(Board board, CopperRaster raster) => new(board, raster);

    /// <summary>The conductances inside the board: in the plane, through the stack, and vias.</summary>
    public static ThermalNetwork Assemble(Board board, CopperRaster raster, CancellationToken cancellationToken)
    {
        var network = new ThermalNetwork(board, raster);
        var options = new ParallelOptions { CancellationToken = cancellationToken };
        Parallel.For(0, network.Stack.Sheets.Count * raster.Grid.Rows, options, line => network.AssembleInPlane(line / raster.Grid.Rows, line % raster.Grid.Rows));
        Parallel.For(0, (network.Stack.Sheets.Count - 1) * raster.Grid.Rows, options, line => network.AssembleThrough(line / raster.Grid.Rows, line % raster.Grid.Rows));
        foreach (var group in board.Vias)
        {
            cancellationToken.ThrowIfCancellationRequested();
            network.AddBarrels(group);
        }
        return network;
    }

    private void AssembleInPlane(int sheetIndex, int row)
    {
        var sheet = Stack.Sheets[sheetIndex];
        var material = Board.Rows[sheet.Row];
        var layer = sheet.Layer >= 0 ? Raster.Layers[sheet.Layer] : null;
        var plan = Raster.Grid;
        var share = Raster.BoardShareArray;
        double eastSheet = sheet.Thickness * plan.PitchY / plan.PitchX, northSheet = sheet.Thickness * plan.PitchX / plan.PitchY;
        for (int cell = row * plan.Columns; cell < (row + 1) * plan.Columns; cell++)
        {
            if (share[cell] <= 0) continue;
            int index = sheetIndex * PlaneCount + cell;
            double copper = layer?.CopperShare[cell] / share[cell] ?? 0;
            ThroughConductivity[index] = (float)(material.Fill.Through + Math.Min(copper, 1) * (material.CopperConductivity - material.Fill.Through));
            if (layer is null) ThroughConductivity[index] = (float)material.Fill.Through;
            if ((cell + 1) % plan.Columns != 0 && share[cell + 1] > 0)
            {
                double fill = material.Fill.InPlane * Joined(share[cell], share[cell + 1]) * (layer?.FillEast[cell] ?? 1);
                Grid.East[index] = (float)(eastSheet * (fill + material.CopperConductivity * (layer?.CopperEast[cell] ?? 0)));
            }
            if (row + 1 < plan.Rows && share[cell + plan.Columns] > 0)
            {
                double fill = material.Fill.InPlane * Joined(share[cell], share[cell + plan.Columns]) * (layer?.FillNorth[cell] ?? 1);
                Grid.North[index] = (float)(northSheet * (fill + material.CopperConductivity * (layer?.CopperNorth[cell] ?? 0)));
            }
        }
    }

    /// <summary>Share that copper has in the conductance of a link in the plane.</summary>
    /// <param name="link">The cell from which the link leads east or north.</param>
    /// <param name="east">East, else north.</param>
    public double CopperShareOfLink(int link, bool east)
    {
        var sheet = Stack.Sheets[link / PlaneCount];
        if (sheet.Layer < 0) return 0;
        var (layer, material, cell) = (Raster.Layers[sheet.Layer], Board.Rows[sheet.Row], link % PlaneCount);
        float[] copperOf = east ? layer.CopperEast : layer.CopperNorth, fillOf = east ? layer.FillEast : layer.FillNorth;
        var share = Raster.BoardShareArray;
        double copper = material.CopperConductivity * copperOf[cell];
        double fill = material.Fill.InPlane * Joined(share[cell], share[cell + (east ? 1 : Raster.Grid.Columns)]) * fillOf[cell];
        return copper > 0 ? copper / (copper + fill) : 0;
    }

    /// <summary>Share of a whole sheet's conductance between two cells that are board only in part.</summary>
    private static double Joined(double first, double second) => 2 * first * second / (first + second);

    private void AssembleThrough(int sheetIndex, int row)
    {
        var plan = Raster.Grid;
        double upperHalf = Stack.Sheets[sheetIndex].Thickness / 2, lowerHalf = Stack.Sheets[sheetIndex + 1].Thickness / 2;
        for (int cell = row * plan.Columns; cell < (row + 1) * plan.Columns; cell++)
        {
            double area = Raster.BoardShareArray[cell] * plan.CellArea;
            if (area <= 0) continue;
            int index = sheetIndex * PlaneCount + cell;
            double whole = area / (upperHalf / ThroughConductivity[index] + lowerHalf / ThroughConductivity[index + PlaneCount]);
            Grid.Below[index] = (float)(whole * Reach(sheetIndex, cell) * Reach(sheetIndex + 1, cell));
        }
    }

    /// <summary>
    /// A cell's temperature on a copper sheet is that of its main piece of copper, which may cover the cell only in part: heat enters the next
    /// sheet over that part alone, as it would on a finer grid. Over the rest there is fill, whose temperature nothing stands for; it counts as far as it conducts as
    /// copper does.
    /// </summary>
    private double Reach(int copperSheet, int cell)
    {
        var (row, layer, _) = Stack.Sheets[copperSheet];
        if (layer < 0) return 1;
        double share = Raster.Layers[layer].MainShare[cell] / Raster.BoardShareArray[cell];
        if (share is <= 0 or >= 1) return 1;
        var material = Board.Rows[row];
        return share + (1 - share) * Math.Min(1, material.Fill.InPlane / material.CopperConductivity);
    }

    private void AddBarrels(ViaGroup group)
    {
        int first = Stack.FirstOfRow[Board.Layers[group.FromLayer].Row], last = Stack.FirstOfRow[Board.Layers[group.ToLayer].Row];
        var lengths = PlatedBarrels.ConductanceLengths(group, Raster.Grid, Raster.BoardShareArray);
        var barrels = new Barrels(first, last, [.. lengths.Keys], [.. lengths.Values]);
        _vias.Add(barrels);
        for (int i = 0; i < barrels.Cells.Length; i++)
        {
            for (int sheet = first; sheet < last; sheet++) Grid.Below[sheet * PlaneCount + barrels.Cells[i]] += (float)(barrels.ConductanceLengths[i] / Distance(sheet));
        }
    }

    /// <summary>Between the middles of a sheet and the next one, m.</summary>
    public double Distance(int sheet) => (Stack.Sheets[sheet].Thickness + Stack.Sheets[sheet + 1].Thickness) / 2;
}

/// <summary>The barrels of one via group.</summary>
/// <param name="FirstSheet">Uppermost sheet joined.</param>
/// <param name="LastSheet">Lowest sheet joined.</param>
/// <param name="Cells">Cells of the plan that hold barrel.</param>
/// <param name="ConductanceLengths">Conductivity times cross-section of the barrel in each of them, W·m/K.</param>
internal sealed record Barrels(int FirstSheet, int LastSheet, int[] Cells, double[] ConductanceLengths);
