using HeatSpread.Boards;

namespace HeatSpread.Import;

/// <param name="Name">File name without folders.</param>
/// <param name="Content">The file's bytes.</param>
public sealed record FabricationFile(string Name, ReadOnlyMemory<byte> Content);

/// <param name="Layout">Null exactly when there are faults. Unit mm.</param>
/// <param name="Faults">Pointers are into the description (<c>/files/2</c>…), or name a posted file as <c>/files/NAME</c> with line and column in the sentence.</param>
/// <param name="Warnings">What was guessed, skipped or repaired.</param>
public sealed record ImportResult(LayoutDocument? Layout, IReadOnlyList<Fault> Faults, IReadOnlyList<string> Warnings);

/// <summary>From fabrication files and their description to a layout.</summary>
public static class FabricationImport
{
    /// <param name="description">As posted.</param>
    /// <param name="files">Files as posted; a ZIP among them is opened.</param>
    /// <param name="cancellationToken">Checked between features.</param>
    public static ImportResult Import(FabricationDescription description, IReadOnlyList<FabricationFile> files, CancellationToken cancellationToken) => throw new NotImplementedException();
}
