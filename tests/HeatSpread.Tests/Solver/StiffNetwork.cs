using HeatSpread.Solver;

namespace HeatSpread.Tests.Solver;

/// <summary>Boards whose conductances lie many orders of magnitude apart: very good conductors in sheets and islands, poor dielectric between them, films from next to nothing to a cold plate.</summary>
/// <param name="Columns">Cells along x.</param>
/// <param name="Rows">Cells along y.</param>
/// <param name="Layers">Sheets of conductor, 1 to 8.</param>
/// <param name="Conductor">W/(m·K) of the conductor.</param>
/// <param name="Dielectric">W/(m·K) of what is between.</param>
/// <param name="Top">W/(m²·K).</param>
/// <param name="Bottom">W/(m²·K).</param>
internal sealed record StiffNetwork(int Columns, int Rows, int Layers, double Conductor, double Dielectric, double Top, double Bottom)
{
    /// <summary>m.</summary>
    public double Pitch { get; init; } = 0.25e-3;

    /// <summary>Of each conductor sheet, m.</summary>
    public double ConductorThickness { get; init; } = 100e-6;

    /// <summary>Between two conductor sheets, m; three sheets of cells each.</summary>
    public double DielectricThickness { get; init; } = 1e-3;

    /// <summary>Share of each conductor sheet that is not one plane but islands of random sizes.</summary>
    public bool Islands { get; init; }

    public int Vias { get; init; }

    /// <summary>Part networks of two nodes, one of them linked to nine cells of an outer sheet.</summary>
    public int Parts { get; init; }

    /// <summary>Links of parts to cells and within parts, W/K.</summary>
    public double PartConductance { get; init; } = 0.1;

    private int Sheets => (4 * Layers) - 3;

    private int Plane => Columns * Rows;

    public ConductanceGrid Grid(Random random)
    {
        var grid = new ConductanceGrid(Columns, Rows, Sheets, 2 * Parts);
        var conductivity = Conductivity(random);
        for (int sheet = 0, i = 0; sheet < Sheets; sheet++)
        {
            for (var column = 0; column < Plane; column++, i++)
            {
                int x = column % Columns, y = column / Columns;
                if (x + 1 < Columns) grid.East[i] = (float)(Thickness(sheet) * Between(conductivity[i], conductivity[i + 1]));
                if (y + 1 < Rows) grid.North[i] = (float)(Thickness(sheet) * Between(conductivity[i], conductivity[i + Columns]));
                if (sheet + 1 < Sheets) grid.Below[i] = (float)(Pitch * Pitch / ((Thickness(sheet) / 2 / conductivity[i]) + (Thickness(sheet + 1) / 2 / conductivity[i + Plane])));
                if (sheet == 0) grid.ToSink[i] += (float)(Top * Pitch * Pitch);
                if (sheet + 1 == Sheets) grid.ToSink[i] += (float)(Bottom * Pitch * Pitch);
            }
        }

        for (var via = 0; via < Vias; via++)
        {
            for (int sheet = 0, i = random.Next(Plane); sheet + 1 < Sheets; sheet++, i += Plane) grid.Below[i] += (float)(Conductor * 3e-8 / (Thickness(sheet) + Thickness(sheet + 1)));
        }

        for (var part = 0; part < Parts; part++) AddPart(random, grid, part);
        return grid;
    }

    /// <summary>W in a few cells of the uppermost sheet, and in each part.</summary>
    public double[] Heat(Random random)
    {
        var heat = new double[(Plane * Sheets) + (2 * Parts)];
        for (var k = 0; k < 4; k++) heat[random.Next(Plane)] += 2;
        for (var part = 0; part < Parts; part++) heat[(Plane * Sheets) + (2 * part)] = 0.5;
        return heat;
    }

    private void AddPart(Random random, ConductanceGrid grid, int part)
    {
        int x0 = random.Next(Math.Max(1, Columns - 3)), y0 = random.Next(Math.Max(1, Rows - 3)), start = random.Next(2) == 0 ? 0 : (Sheets - 1) * Plane;
        grid.NodeNodeLinks.Add(new(2 * part, (2 * part) + 1, PartConductance));
        for (var k = 0; k < 9; k++)
        {
            int x = Math.Min(Columns - 1, x0 + (k % 3)), y = Math.Min(Rows - 1, y0 + (k / 3));
            grid.NodeCellLinks.Add(new((2 * part) + 1, start + (y * Columns) + x, PartConductance / 9));
        }
    }

    private double Thickness(int sheet) => sheet % 4 == 0 ? ConductorThickness : DielectricThickness / 3;

    private static double Between(double a, double b) => 2 * a * b / (a + b);

    private double[] Conductivity(Random random)
    {
        var k = new double[Plane * Sheets];
        Array.Fill(k, Dielectric);
        for (var sheet = 0; sheet < Sheets; sheet += 4)
        {
            var plane = k.AsSpan(sheet * Plane, Plane);
            plane.Fill(Conductor);
            for (var n = 0; Islands && n < 6; n++)
            {
                // A frame of dielectric around an island of conductor; the next one may cut through both.
                int w = 3 + random.Next(Columns / 2), h = 3 + random.Next(Rows / 2), x0 = random.Next(Columns), y0 = random.Next(Rows);
                Fill(plane, x0, y0, w, h, Dielectric);
                Fill(plane, x0 + 1, y0 + 1, w - 2, h - 2, Conductor);
            }
        }

        return k;
    }

    private void Fill(Span<double> plane, int x0, int y0, int w, int h, double value)
    {
        for (var y = y0; y < Math.Min(Rows, y0 + h); y++)
        {
            if (x0 < Columns) plane.Slice((y * Columns) + x0, Math.Max(0, Math.Min(w, Columns - x0))).Fill(value);
        }
    }
}
