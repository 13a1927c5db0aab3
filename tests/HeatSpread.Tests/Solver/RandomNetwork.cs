using HeatSpread.Solver;

namespace HeatSpread.Tests.Solver;

/// <summary>Networks for tests: a stack of copper and laminate sheets with random copper, outlines, vias, films and part networks.</summary>
internal static class RandomNetwork
{
    /// <summary>A board-like stack. Copper has 390 W/(m K), laminate 0.3 to 0.8; cells are squares of <paramref name="pitch"/> metres.</summary>
    public static ConductanceGrid Board(Random random, int columns, int rows, int sheets, double pitch = 0.5e-3, int parts = 0, bool cutouts = false, double film = 10)
    {
        var terminals = Enumerable.Range(0, parts).Select(_ => 1 + random.Next(5)).ToArray();
        var grid = new ConductanceGrid(columns, rows, sheets, terminals.Sum() + parts);
        var present = Outline(random, columns, rows, cutouts);
        var conductivity = Copper(random, columns, rows, sheets);
        var thickness = Enumerable.Range(0, sheets).Select(s => s % 2 == 0 ? 35e-6 : 100e-6 + random.NextDouble() * 1e-3).ToArray();
        double Lateral(int a, int b, int s) => thickness[s] * 2 * conductivity[a] * conductivity[b] / (conductivity[a] + conductivity[b]);
        for (int s = 0, i = 0; s < sheets; s++)
        {
            for (var c = 0; c < columns * rows; c++, i++)
            {
                if (!present[c]) continue;
                int x = c % columns, y = c / columns;
                if (x + 1 < columns && present[c + 1]) grid.East[i] = (float)Lateral(i, i + 1, s);
                if (y + 1 < rows && present[c + columns]) grid.North[i] = (float)Lateral(i, i + columns, s);
                if (s + 1 < sheets)
                {
                    var resistance = (thickness[s] / 2 / Through(conductivity[i])) + (thickness[s + 1] / 2 / Through(conductivity[i + (columns * rows)]));
                    grid.Below[i] = (float)((pitch * pitch / resistance) + (random.Next(40) == 0 ? 390 * 2e-8 / (thickness[s] + thickness[s + 1]) : 0));
                }

                if (s == 0 || s + 1 == sheets) grid.ToSink[i] += (float)(film * pitch * pitch);
            }
        }

        AddParts(random, grid, present, terminals);
        return grid;
    }

    /// <summary>Heat in some present cells of the top sheet and in every node.</summary>
    public static double[] Heat(Random random, ConductanceGrid grid)
    {
        var heat = new double[grid.CellCount + grid.NodeCount];
        for (var k = 0; k < 5;)
        {
            var i = random.Next(grid.Columns * grid.Rows);
            if (grid.ToSink[i] == 0) continue;
            heat[i] += random.NextDouble();
            k++;
        }

        for (var n = 0; n < grid.NodeCount; n++) heat[grid.CellCount + n] = random.NextDouble() * 0.1;
        return heat;
    }

    private static double Through(double k) => k > 1 ? k : 0.3;

    private static bool[] Outline(Random random, int columns, int rows, bool cutouts)
    {
        var present = Enumerable.Repeat(true, columns * rows).ToArray();
        for (var k = 0; cutouts && k < 3; k++)
        {
            double cx = random.NextDouble() * columns, cy = random.NextDouble() * rows, r = random.NextDouble() * Math.Min(columns, rows) / 4;
            for (var c = 0; c < present.Length; c++)
            {
                if (Math.Pow((c % columns) - cx, 2) + Math.Pow((c / columns) - cy, 2) < r * r) present[c] = false;
            }
        }

        if (!present.Contains(true)) present[0] = true;
        return present;
    }

    private static double[] Copper(Random random, int columns, int rows, int sheets)
    {
        var k = new double[columns * rows * sheets];
        Array.Fill(k, 0.8);
        for (var s = 0; s < sheets; s += 2)
        {
            var plane = k.AsSpan(s * columns * rows, columns * rows);
            if (random.Next(3) == 0) plane.Fill(390);
            for (var n = 0; n < 30; n++)
            {
                int w = 1 + random.Next(1 + (random.Next(2) == 0 ? 2 : columns)), h = 1 + random.Next(1 + (random.Next(2) == 0 ? 2 : rows)), x0 = random.Next(columns), y0 = random.Next(rows);
                var value = random.Next(4) == 0 ? 0.8 : 390;
                for (var y = y0; y < Math.Min(rows, y0 + h); y++) plane.Slice((y * columns) + x0, Math.Min(w, columns - x0)).Fill(value);
            }
        }

        return k;
    }

    private static void AddParts(Random random, ConductanceGrid grid, bool[] present, int[] terminals)
    {
        int node = 0, plane = grid.Columns * grid.Rows;
        foreach (var count in terminals)
        {
            var body = node++;
            if (random.Next(3) == 0) grid.NodeToSink[body] = 1e-3;
            int x0 = random.Next(grid.Columns), y0 = random.Next(grid.Rows), sheet = random.Next(2) == 0 ? 0 : grid.Sheets - 1;
            for (var t = 0; t < count; t++)
            {
                var terminal = node++;
                grid.NodeNodeLinks.Add(new(body, terminal, Math.Pow(10, (random.NextDouble() * 4) - 2)));
                var linked = 0;
                for (var k = 0; k < 12; k++)
                {
                    int x = Math.Min(grid.Columns - 1, x0 + (t * 4) + (k % 3)), y = Math.Min(grid.Rows - 1, y0 + (k / 3));
                    if (!present[(y * grid.Columns) + x]) continue;
                    grid.NodeCellLinks.Add(new(terminal, (sheet * plane) + (y * grid.Columns) + x, Math.Pow(10, (random.NextDouble() * 3) - 3)));
                    linked++;
                }

                if (linked == 0) grid.NodeToSink[terminal] = 1e-3;
            }
        }
    }
}
