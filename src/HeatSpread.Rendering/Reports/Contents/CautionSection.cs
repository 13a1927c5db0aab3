namespace HeatSpread.Rendering.Reports;

/// <summary>What holds for every report.</summary>
internal static class CautionSection
{
    public static ReportSection Of() => new("Cautions", [
        new BulletList([
            "A computed temperature is no measurement. Check the first boards with thermocouples or a calibrated camera before anyone relies on a verdict.",
            "Boards, inductors and heat sinks run hot enough to burn skin, and stay so after they are switched off.",
            "Mains, batteries and charged capacitors can kill or start a fire. Work on them only as training and local rules allow.",
            "This report is no safety approval. Follow the codes and standards that apply where the product is sold and used, and leave decisions of safety to licensed or otherwise qualified people.",
        ]),
    ]);
}
