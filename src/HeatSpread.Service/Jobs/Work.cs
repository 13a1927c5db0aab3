using HeatSpread.Service.Layouts;

namespace HeatSpread.Service.Jobs;

/// <summary>Something that was asked for, has passed every check and takes long: what the queue carries.</summary>
/// <param name="Id">Digest of all that its result depends on.</param>
internal abstract record Work(string Id)
{
    /// <summary>Name of the <see cref="IWorkKind"/> that reads and does it.</summary>
    public abstract string Kind { get; }

    /// <summary>What it is about.</summary>
    public abstract LayoutInUse Layout { get; init; }

    /// <summary>What lists and progress say of it.</summary>
    public WorkLabels Labels => new(Layout.Id, Layout.Board.Name, Layout.Board.Revision);

    /// <summary>Rough, for the order of the queue.</summary>
    public abstract double ExpectedSeconds { get; }

    /// <summary>JSON of which <see cref="IWorkKind.Read"/> makes the same work, in another process too.</summary>
    public abstract byte[] Document();
}

/// <param name="Layout">Id of the layout it is about.</param>
/// <param name="Name">Of the board.</param>
/// <param name="Revision">Of the board.</param>
internal sealed record WorkLabels(string Layout, string Name, string Revision);
