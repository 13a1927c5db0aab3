namespace HeatSpread.Boards;

/// <summary>Whether heat can leave a board at all: without a way out there is no steady temperature.</summary>
internal static class WayOut
{
    public static bool Exists(Conditions conditions, Board board) =>
        conditions.Top is not FilmSurface { WattsPerSquareMeterKelvin: 0 }
        || conditions.Bottom is not FilmSurface { WattsPerSquareMeterKelvin: 0 }
        || conditions.EdgesFilm > 0
        || conditions.Contacts.Count > 0
        || board.Parts.Any(part => part.Network is { } network && LeadsFromBoardToAmbient(network));

    private static bool LeadsFromBoardToAmbient(PartNetwork network)
    {
        var fromBoard = NodeReach.Of(network.Nodes.Count, network.Links, link => link.Target is PartLinkTarget.Board or PartLinkTarget.Terminal);
        return network.Links.Any(link => link.Target == PartLinkTarget.Ambient && fromBoard[link.FromNode]);
    }
}
