using HeatSpread.Boards;
using HeatSpread.Thermal.Boundary;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal;

/// <summary>From the solved unknowns (rises over ambient) to temperatures, part figures and the heat balance.</summary>
internal static class FieldReading
{
    public static TemperatureField Read(SolvedNetwork solved)
    {
        var (network, conditions, parts, faces) = (solved.Network, solved.Conditions, solved.Parts, solved.Faces);
        double[] field = solved.Rise;
        var rows = new float[network.Board.Rows.Count][];
        float[] topFace = [], bottomFace = [];
        IReadOnlyList<PartPath>[] paths = [];
        var surfaces = SurfaceReadings.None;
        ViaReadings? vias = null;
        // Side by side: each looks over the field once, most of it through memory that is touched for the first time.
        Parallel.Invoke(
            () => Parallel.For(0, rows.Length, row => rows[row] = RowCelsius(network, conditions, row, field)),
            () => surfaces = SurfaceReader.Read(network, conditions, faces, solved.Rim, field),
            () => topFace = faces[BoardSide.Top].Celsius(field),
            () => bottomFace = faces[BoardSide.Bottom].Celsius(field),
            () => paths = PathReader.Read(solved),
            () => vias = ViaReader.Read(network, field));
        return new()
        {
            Grid = network.Raster.Grid,
            RowCelsius = rows,
            TopFaceCelsius = topFace,
            BottomFaceCelsius = bottomFace,
            Parts = [.. Enumerable.Range(0, network.Board.Parts.Count).Select(part => Part(solved, part) with { Paths = paths[part] })],
            Surfaces = surfaces,
            Vias = vias!,
            Heat = Heat(solved, surfaces),
            Currents = solved.Coupled?.Currents,
            Converter = solved.Coupled?.Converter,
            Solve = solved.Figures,
        };
    }

    private static float[] RowCelsius(ThermalNetwork network, Conditions conditions, int row, double[] field)
    {
        var celsius = new float[network.PlaneCount];
        int start = network.Stack.CentreOfRow(row) * network.PlaneCount;
        for (int cell = 0; cell < celsius.Length; cell++)
        {
            celsius[cell] = network.Raster.BoardShareArray[cell] > 0 ? (float)(conditions.AmbientCelsius + field[start + cell]) : float.NaN;
        }
        return celsius;
    }

    public static PartTemperatures Part(SolvedNetwork solved, int part)
    {
        var (parts, field, ambient) = (solved.Parts, solved.Rise, solved.Conditions.AmbientCelsius);
        var given = solved.Board.Parts[part];
        int nodes = given.Network?.Nodes.Count ?? 0;
        double[] nodeCelsius = [.. Enumerable.Range(0, nodes).Select(node => ambient + field[parts.Unknown(part, node)])];
        double[] terminalCelsius = [.. parts.Terminals[part].Select(footprint => ambient + footprint.Mean(field))];
        double[] terminalWatts = [.. Enumerable.Range(0, given.Terminals.Count).Select(terminal => TerminalWatts(parts, given, part, terminal, field))];
        return new PartTemperatures(parts.Watts[part], nodeCelsius, terminalCelsius, terminalWatts, ambient + field[HottestUnder(parts, part, field)]);
    }

    private static double TerminalWatts(PartAttachments parts, Part given, int part, int terminal, double[] field)
    {
        if (given.Network is not { } inner) return parts.Watts[part] * parts.HeatedBoard(part).ElementAt(terminal).Share;
        double pad = parts.Terminals[part][terminal].Mean(field);
        return inner.Links.Where(link => link.Target == PartLinkTarget.Terminal && link.TargetIndex == terminal)
            .Sum(link => (field[parts.Unknown(part, link.FromNode)] - pad) / link.KelvinPerWatt);
    }

    /// <summary>The hottest of <see cref="PlacesUnder"/>.</summary>
    public static int HottestUnder(PartAttachments parts, int part, ReadOnlySpan<double> field)
    {
        int[] places = PlacesUnder(parts, part);
        int hottest = places[0];
        foreach (int cell in places)
        {
            if (field[cell] > field[hottest]) hottest = cell;
        }
        return hottest;
    }

    /// <summary>The cells at least half covered by a pad (by the body where there is none); where there is none, the most covered cell.</summary>
    public static int[] PlacesUnder(PartAttachments parts, int part)
    {
        var footprints = parts.Terminals[part].Length > 0 ? parts.Terminals[part] : [parts.Bodies[part]];
        var places = new List<int>();
        int mostCovered = footprints[0].Cells[0];
        double most = 0;
        foreach (var footprint in footprints)
        {
            for (int i = 0; i < footprint.Cells.Length; i++)
            {
                if (footprint.Shares[i] >= 0.5) places.Add(footprint.Cells[i]);
                if (footprint.Shares[i] > most) (most, mostCovered) = (footprint.Shares[i], footprint.Cells[i]);
            }
        }
        return places.Count > 0 ? [.. places] : [mostCovered];
    }

    private static HeatBalance Heat(SolvedNetwork solved, SurfaceReadings surfaces)
    {
        var (grid, field) = (solved.Network.Grid, solved.Rise);
        double toAmbient = 0;
        for (int node = 0; node < grid.NodeCount; node++) toAmbient += grid.NodeToSink[node] * field[grid.CellCount + node];
        double dissipated = solved.Parts.Watts.Sum() + (solved.Coupled?.CopperWatts ?? 0);
        return new HeatBalance(dissipated, surfaces.Top.Watts, surfaces.Bottom.Watts, surfaces.Edges.Watts, [.. surfaces.Contacts.Select(contact => contact.Watts)], toAmbient);
    }
}
