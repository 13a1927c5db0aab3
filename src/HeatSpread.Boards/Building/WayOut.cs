using System.Globalization;

namespace HeatSpread.Boards;

/// <summary>Whether heat can leave a board: without a way out there is no steady temperature, and with one of next to nothing there is none to speak of.</summary>
internal static class WayOut
{
    /// <summary>K over ambient, of the whole board. It is a wrong unit long before.</summary>
    private const double MostRise = 1e5;

    /// <returns>The fault; null where there is none.</returns>
    public static string? Fault(Conditions conditions, Board board)
    {
        if (conditions.Top is not FilmSurface || conditions.Bottom is not FilmSurface) return null; // air takes up any heat
        if (!Exists(conditions, board))
            return "Heat must have a way out; found films of 0 on both sides and on the edges, no contact, and no part whose network leads from the board to `ambient`.";
        double conductance = Conductance(conditions, board), watts = board.Parts.Index().Sum(part => conditions.Watts.GetValueOrDefault(part.Index, part.Item.Watts));
        if (watts <= MostRise * conductance) return null;
        return $"Films, contacts and the parts' links to ambient together must keep the board within {Phrase.Number(MostRise)} K of the ambient; they conduct {conductance.ToString("g3", CultureInfo.InvariantCulture)} W/K, for {Phrase.Number(watts)} W. Look for a wrong unit.";
    }

    private static bool Exists(Conditions conditions, Board board) =>
        conditions.Top is not FilmSurface { WattsPerSquareMeterKelvin: 0 }
        || conditions.Bottom is not FilmSurface { WattsPerSquareMeterKelvin: 0 }
        || conditions.EdgesFilm > 0
        || conditions.Contacts.Count > 0
        || board.Parts.Any(part => part.Network is { } network && LeadsFromBoardToAmbient(network));

    /// <summary>W/K from a board of one temperature to the ambient and the sinks, at most.</summary>
    private static double Conductance(Conditions conditions, Board board)
    {
        static double Film(Surface surface) => surface is FilmSurface film ? film.WattsPerSquareMeterKelvin : 0;
        static double Area(Region region) => region.Polygons.Sum(polygon => polygon.Area);
        double rim = board.Outline.Polygons.SelectMany(polygon => polygon.Rings).Sum(Length) * board.Rows.Sum(row => row.Thickness);
        return (Film(conditions.Top) + Film(conditions.Bottom)) * Area(board.Outline)
            + conditions.EdgesFilm * rim
            + conditions.Contacts.Sum(contact => contact.WattsPerSquareMeterKelvin * Area(contact.Area))
            + board.Parts.Where(part => part.Network is not null).SelectMany(part => part.Network!.Links).Where(link => link.Target == PartLinkTarget.Ambient).Sum(link => 1 / link.KelvinPerWatt);
    }

    private static double Length(IReadOnlyList<Point> ring) =>
        ring.Index().Sum(corner => double.Hypot(ring[(corner.Index + 1) % ring.Count].X - corner.Item.X, ring[(corner.Index + 1) % ring.Count].Y - corner.Item.Y));

    private static bool LeadsFromBoardToAmbient(PartNetwork network)
    {
        var fromBoard = NodeReach.Of(network.Nodes.Count, network.Links, link => link.Target is PartLinkTarget.Board or PartLinkTarget.Terminal);
        return network.Links.Any(link => link.Target == PartLinkTarget.Ambient && fromBoard[link.FromNode]);
    }
}
