using System.Globalization;
using HeatSpread.Boards;
using HeatSpread.Thermal.Network;

namespace HeatSpread.Thermal.Converters;

/// <summary>The converter of a board's conditions: its losses at the temperatures of its two parts.</summary>
internal sealed class ConverterHeat(Converter converter, PartAttachments parts, Board board, double ambientCelsius)
{
    /// <summary>Of the last temperatures that were taken.</summary>
    public ConverterReading Reading { get; private set; } = null!;

    /// <summary>W of the part with the switches and of the inductor at a field's temperatures; null where the converter has no operating point.</summary>
    /// <param name="rise">K over ambient of each unknown.</param>
    public (double Part, double Inductor)? At(ReadOnlySpan<double> rise)
    {
        if (ConverterModel.At(converter, ambientCelsius + Rise(converter.Part, rise), ambientCelsius + Rise(converter.Inductor, rise)) is not { } reading) return null;
        Reading = reading;
        var watts = (Sum(converter.Part), Sum(converter.Inductor));
        Reading = reading with { Warnings = [.. reading.Warnings, .. Replaced(converter.Part, watts.Item1), .. Replaced(converter.Inductor, watts.Item2)] };
        return watts;
    }

    /// <summary>A layout may give its parts watts for conditions without a converter; one who reads the answer must see that they were not taken.</summary>
    private IEnumerable<string> Replaced(int part, double watts)
    {
        var given = board.Parts[part];
        if (given.Watts > 0) yield return string.Create(CultureInfo.InvariantCulture, $"The layout gives {given.Id} {given.Watts:0.###} W; the losses of the operating point, {watts:0.###} W, took their place.");
    }

    /// <summary>Makes the two parts' heat in the next solve.</summary>
    public void Put(double part, double inductor)
    {
        parts.SetWatts(converter.Part, part);
        parts.SetWatts(converter.Inductor, inductor);
    }

    private double Sum(int part) => Reading.Losses.Where(loss => loss.Part == part).Sum(loss => loss.Watts);

    /// <summary>Where the part's heat is made: its nodes by their shares of it, or the board that it heats.</summary>
    private double Rise(int part, ReadOnlySpan<double> rise)
    {
        double sum = 0;
        if (board.Parts[part].Network is { } inner)
        {
            for (int node = 0; node < inner.Nodes.Count; node++) sum += inner.HeatShares[node] * rise[parts.Unknown(part, node)];
            return sum;
        }
        foreach (var (footprint, share) in parts.HeatedBoard(part)) sum += share * footprint.Mean(rise);
        return sum;
    }
}
