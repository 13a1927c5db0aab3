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
    private readonly List<Barrels> _vias;

    private ThermalNetwork(Board board, CopperRaster raster)
    {
        _vias = [];
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
        _shares = new MaterialShares(this);
    }

    private readonly MaterialShares _shares;

    public Board Board { get; }

    public CopperRaster Raster { get; }

    public StackSheets Stack { get; }

    public ConductanceGrid Grid { get; private init; }

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

    private ThermalNetwork(ThermalNetwork other)
    {
        (Board, Raster, Stack, FirstNode, ThroughConductivity, _vias, _shares) = (other.Board, other.Raster, other.Stack, other.FirstNode, other.ThroughConductivity, other._vias, other._shares);
        Grid = other.Grid.WithSinks(new float[other.Grid.CellCount]);
    }

    /// <summary>The same network, parts included, without links of cells to the sink: for other surroundings. All else is shared, so only for one whose conductivities do not depend on temperature.</summary>
    public ThermalNetwork WithoutSinks() => new(this);

    /// <summary>The conductances inside the board: in the plane, through the stack, and vias.</summary>
    public static ThermalNetwork Assemble(Board board, CopperRaster raster, CancellationToken cancellationToken)
    {
        var network = new ThermalNetwork(board, raster);
        foreach (var group in board.Vias)
        {
            cancellationToken.ThrowIfCancellationRequested();
            network.PlaceBarrels(group);
        }
        network.Assemble(cancellationToken);
        return network;
    }

    /// <summary>Whether some material's conductivity depends on temperature.</summary>
    public bool DependsOnTemperature => _shares.Any;

    /// <summary>Makes the conductances those at the temperatures of a field. Barrels keep theirs.</summary>
    /// <param name="rise">K over ambient of each unknown.</param>
    /// <param name="ambientCelsius">°C.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public void TakeTemperatures(double[] rise, double ambientCelsius, CancellationToken cancellationToken)
    {
        if (!DependsOnTemperature) return;
        _shares.Take(rise, ambientCelsius);
        Assemble(cancellationToken);
    }

    /// <summary>Brings the conductances nearer to those at the temperatures of a field, in an iteration: <see cref="MaterialShares.Approach"/>.</summary>
    /// <param name="rise">K over ambient of each unknown.</param>
    /// <param name="ambientCelsius">°C.</param>
    /// <param name="tolerance">Change of a conductivity, as a share of it, up to which all are left as they are.</param>
    /// <param name="cancellationToken">Ends it.</param>
    /// <returns>The greatest change of a conductivity, as a share of it.</returns>
    public double ApproachTemperatures(double[] rise, double ambientCelsius, double tolerance, CancellationToken cancellationToken)
    {
        double change = _shares.Approach(rise, ambientCelsius);
        if (change > tolerance) Assemble(cancellationToken);
        return change;
    }

    private void Assemble(CancellationToken cancellationToken) => Assemble(0, Raster.Grid.Rows - 1, cancellationToken);

    private void Assemble(int firstRow, int lastRow, CancellationToken cancellationToken)
    {
        int rows = lastRow - firstRow + 1;
        var options = new ParallelOptions { CancellationToken = cancellationToken };
        Parallel.For(0, Stack.Sheets.Count * rows, options, line => AssembleInPlane(line / rows, firstRow + line % rows));
        Parallel.For(0, (Stack.Sheets.Count - 1) * rows, options, line => AssembleThrough(line / rows, firstRow + line % rows));
        foreach (var barrels in _vias) AddBarrels(barrels, firstRow, lastRow);
    }

    /// <summary>
    /// The network of the same board with other copper in some rows of cells: those rows anew, the others as they are here, at the conductivities of the materials as given. Without parts and surfaces.
    /// </summary>
    /// <param name="board">Outline, stack and parts are as before.</param>
    /// <param name="raster">Of it, in the same grid.</param>
    /// <param name="firstRow">First row of cells with a change, or next to one.</param>
    /// <param name="lastRow">The last one.</param>
    /// <param name="cancellationToken">Ends it.</param>
    public ThermalNetwork Edited(Board board, CopperRaster raster, int firstRow, int lastRow, CancellationToken cancellationToken)
    {
        var edited = new ThermalNetwork(board, raster);
        foreach (var group in board.Vias) edited.PlaceBarrels(group);
        if (DependsOnTemperature)
        {
            edited.Assemble(cancellationToken); // these rows are at other temperatures
            return edited;
        }
        (float[] From, float[] To)[] alike = [(Grid.East, edited.Grid.East), (Grid.North, edited.Grid.North), (Grid.Below, edited.Grid.Below), (ThroughConductivity, edited.ThroughConductivity)];
        // on all cores: most of the time goes into touching fresh memory
        Parallel.For(0, alike.Length * Stack.Sheets.Count, i => alike[i % alike.Length].From.AsSpan(i / alike.Length * PlaneCount, PlaneCount).CopyTo(alike[i % alike.Length].To.AsSpan(i / alike.Length * PlaneCount)));
        edited.Assemble(firstRow, lastRow, cancellationToken);
        return edited;
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
            double fillThrough = material.Fill.Through * _shares.FillThrough(sheetIndex, cell), copperThrough = material.CopperConductivity * _shares.Copper(sheetIndex, cell);
            ThroughConductivity[index] = (float)(layer is null ? fillThrough : fillThrough + Math.Min(copper, 1) * (copperThrough - fillThrough));
            if ((cell + 1) % plan.Columns != 0 && share[cell + 1] > 0)
            {
                var (fillShare, copperShare) = SharesBetween(sheetIndex, cell, cell + 1);
                double fill = fillShare * material.Fill.InPlane * Joined(share[cell], share[cell + 1]) * (layer?.FillEast[cell] ?? 1);
                Grid.East[index] = (float)(eastSheet * (fill + copperShare * material.CopperConductivity * (layer?.CopperEast[cell] ?? 0)));
            }
            if (row + 1 < plan.Rows && share[cell + plan.Columns] > 0)
            {
                var (fillShare, copperShare) = SharesBetween(sheetIndex, cell, cell + plan.Columns);
                double fill = fillShare * material.Fill.InPlane * Joined(share[cell], share[cell + plan.Columns]) * (layer?.FillNorth[cell] ?? 1);
                Grid.North[index] = (float)(northSheet * (fill + copperShare * material.CopperConductivity * (layer?.CopperNorth[cell] ?? 0)));
            }
        }
    }

    /// <summary>Of a link in the plane: the means of its two cells.</summary>
    private (double Fill, double Copper) SharesBetween(int sheet, int first, int second) => _shares.Any
        ? ((_shares.FillInPlane(sheet, first) + _shares.FillInPlane(sheet, second)) / 2, (_shares.Copper(sheet, first) + _shares.Copper(sheet, second)) / 2)
        : (1, 1);

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

    private void PlaceBarrels(ViaGroup group)
    {
        int first = Stack.FirstOfRow[Board.Layers[group.FromLayer].Row], last = Stack.FirstOfRow[Board.Layers[group.ToLayer].Row];
        var lengths = PlatedBarrels.ConductanceLengths(group, Raster.Grid, Raster.BoardShareArray);
        _vias.Add(new Barrels(first, last, [.. lengths.Keys], [.. lengths.Values]));
    }

    private void AddBarrels(Barrels barrels, int firstRow, int lastRow)
    {
        for (int i = 0; i < barrels.Cells.Length; i++)
        {
            int row = barrels.Cells[i] / Raster.Grid.Columns;
            if (row < firstRow || row > lastRow) continue;
            for (int sheet = barrels.FirstSheet; sheet < barrels.LastSheet; sheet++) Grid.Below[sheet * PlaneCount + barrels.Cells[i]] += (float)(barrels.ConductanceLengths[i] / Distance(sheet));
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
