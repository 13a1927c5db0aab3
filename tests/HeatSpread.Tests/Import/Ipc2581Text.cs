using System.Text;
using HeatSpread.Boards;
using HeatSpread.Import;

namespace HeatSpread.Tests.Import;

/// <summary>IPC-2581 documents of small boards, written in tests: two copper layers, a square of 20 units, whatever else is given.</summary>
internal sealed record Ipc2581Text
{
    public string Revision { get; init; } = "C";

    public string Units { get; init; } = "MILLIMETER";

    /// <summary>Dictionaries.</summary>
    public string Content { get; init; } = "";

    public string Specs { get; init; } = "";

    public string Layers { get; init; } = """
        <Layer name="TOP" layerFunction="SIGNAL" side="TOP" polarity="POSITIVE"/><Layer name="CORE" layerFunction="DIELCORE" side="INTERNAL"/>
        <Layer name="BOT" layerFunction="CONDUCTOR" side="BOTTOM"/><Layer name="DRILL" layerFunction="DRILL" side="ALL"><Span fromLayer="TOP" toLayer="BOT"/></Layer>
        <Layer name="ROUT" layerFunction="ROUT" side="ALL"/>
        """;

    public string Stackup { get; init; } = """
        <Stackup name="S" overallThickness="1.67"><StackupGroup name="G" thickness="1.67">
        <StackupLayer layerOrGroupRef="BOT" thickness="0.035" sequence="3"/><StackupLayer layerOrGroupRef="TOP" thickness="0.035" sequence="1"/>
        <StackupLayer layerOrGroupRef="CORE" thickness="1.6" sequence="2"/></StackupGroup></Stackup>
        """;

    public string Profile { get; init; } = """
        <Profile><Polygon><PolyBegin x="0" y="0"/><PolyStepSegment x="20" y="0"/><PolyStepSegment x="20" y="20"/><PolyStepSegment x="0" y="20"/><PolyStepSegment x="0" y="0"/></Polygon></Profile>
        """;

    /// <summary>In the step, before the features.</summary>
    public string Step { get; init; } = "";

    /// <summary>Sets of the top layer.</summary>
    public string Top { get; init; } = "";

    /// <summary>Whole layer features beside the top's.</summary>
    public string Features { get; init; } = "";

    public string Steps { get; init; } = "";

    public string Text => $"""
        <?xml version="1.0" encoding="UTF-8"?>
        <IPC-2581 revision="{Revision}" xmlns="http://webstds.ipc.org/2581">
        <Content roleRef="Owner"><FunctionMode mode="ASSEMBLY"/><StepRef name="board"/>{Content}</Content>
        <Ecad name="D"><CadHeader units="{Units}">{Specs}</CadHeader><CadData>{Layers}{Stackup}
        {Steps}<Step name="board">{Profile}{Step}<LayerFeature layerRef="TOP">{Top}</LayerFeature>{Features}</Step></CadData></Ecad></IPC-2581>
        """;

    public FabricationFile File => new("board.xml", Encoding.UTF8.GetBytes(Text));

    public ImportResult Import(FabricationDescription? description = null) => FabricationImport.Import(description ?? new FabricationDescription { Name = "small" }, [File], CancellationToken.None);

    /// <summary>The layout, with the board's checks passed.</summary>
    public LayoutDocument Layout(FabricationDescription? description = null)
    {
        var result = Import(description);
        Xunit.Assert.Empty(result.Faults);
        Xunit.Assert.Empty(BoardBuilder.Build(result.Layout!).Faults);
        return result.Layout!;
    }

    /// <summary>A set of one feature at (10, 10).</summary>
    public static string Feature(string shape, string attributes = "") => $"<Set {attributes}><Features><Location x=\"10\" y=\"10\"/>{shape}</Features></Set>";

    public static string Polygon(string name, params (double X, double Y)[] points) =>
        FormattableString.Invariant($"<{name}><PolyBegin x=\"{points[0].X}\" y=\"{points[0].Y}\"/>{string.Concat(points.Skip(1).Append(points[0]).Select(p => FormattableString.Invariant($"<PolyStepSegment x=\"{p.X}\" y=\"{p.Y}\"/>")))}</{name}>");
}
