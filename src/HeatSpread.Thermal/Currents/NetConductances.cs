using HeatSpread.Solver;

namespace HeatSpread.Thermal.Currents;

/// <summary>A net's links as conductances at the temperatures of a field, S.</summary>
internal sealed class NetConductances
{
    public NetConductances(NetCopper copper, Func<int, double> celsiusOf)
    {
        int columns = copper.Grid.Columns;
        East = new float[copper.CellCount];
        North = new float[copper.CellCount];
        Below = new float[copper.CellCount];
        Parallel.For(0, copper.CellCount / columns, line =>
        {
            for (int cell = line * columns; cell < (line + 1) * columns; cell++)
            {
                if (copper.East[cell] == 0 && copper.North[cell] == 0 && copper.Below[cell] == 0) continue;
                double here = celsiusOf(cell);
                float Conductance(float link, int other) => link == 0 ? 0 : (float)(link / CopperResistivity.At((here + celsiusOf(other)) / 2));
                East[cell] = Conductance(copper.East[cell], cell + 1);
                North[cell] = Conductance(copper.North[cell], cell + columns);
                Below[cell] = Conductance(copper.Below[cell], cell + copper.PlaneCount);
            }
        });
        Copper = copper;
    }

    public NetCopper Copper { get; }

    public float[] East { get; }

    public float[] North { get; }

    public float[] Below { get; }

    /// <summary>Calls for every link that conducts: direction, first cell, second cell, S.</summary>
    public void ForEach(Action<LinkDirection, int, int, float> link)
    {
        int columns = Copper.Grid.Columns, plane = Copper.PlaneCount;
        for (int cell = 0; cell < East.Length; cell++)
        {
            if (East[cell] > 0) link(LinkDirection.East, cell, cell + 1, East[cell]);
            if (North[cell] > 0) link(LinkDirection.North, cell, cell + columns, North[cell]);
            if (Below[cell] > 0) link(LinkDirection.Below, cell, cell + plane, Below[cell]);
        }
    }

    /// <summary>An empty system of the same shape, with nodes beside it.</summary>
    public ConductanceGrid NewGrid(int nodes) => new(Copper.Grid.Columns, Copper.Grid.Rows, Copper.Layers.Length, nodes);
}
