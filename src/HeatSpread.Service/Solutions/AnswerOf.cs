using System.Text.Json;
using HeatSpread.Boards;
using HeatSpread.Insight;
using HeatSpread.Service.Reports;
using HeatSpread.Thermal;

namespace HeatSpread.Service.Solutions;

/// <summary>From a solved board to what is sent: names in place of indices, places in the layout's unit.</summary>
internal static class AnswerOf
{
    private const double MmPerMeter = 1e3, Mm2PerSquareMeter = 1e6;

    public static SolutionAnswer Solution(SolutionRequest request, BoardSolution solution)
    {
        var layout = request.Layout;
        var board = layout.Board;
        var grid = Grid(solution.Field.Grid);
        return new SolutionAnswer(
            request.Id,
            layout.Id,
            board.Name,
            board.Revision,
            layout.Unit,
            SolutionState.Solved,
            new(solution.Verdict.Pass, solution.Verdict.Reasons),
            new(solution.Peak.Celsius, solution.Peak.RowName, layout.InUnit(solution.Peak.At), solution.Peak.Net, solution.Peak.GridErrorKelvin!.Value),
            [.. solution.Layers.Select(l => new LayerAnswer(l.Name, l.MaxCelsius, l.MinCelsius, l.MeanCelsius, l.CopperShare, grid, SolutionRoutes.Image(request.Id, l.Name), solution.Currents.Count == 0 ? null : SolutionRoutes.CurrentImage(request.Id, l.Name)))],
            [.. solution.Parts.Zip(solution.Field.Parts, (part, solved) => Part(board, part, solved))],
            [.. solution.Probes.Select(p => new ProbeAnswer(p.Name, p.Celsius, p.GridErrorKelvin!.Value))],
            [.. solution.Currents.Select(c => new CurrentAnswer(
                c.Current.Name, c.Net, c.Current.Amperes, c.Reading.DropVolts * 1e3, c.Reading.CopperWatts, c.Reading.PeakAmpsPerSquareMeter * 1e-6, layout.InUnit(c.Reading.PeakAt), c.PeakLayer))],
            Converter(board, request.Conditions.Converter, solution.Field.Converter),
            [.. solution.HotSpots.Select(h => new HotSpotAnswer(h.Rank, h.Celsius, board.Layers[h.Layer].Name, layout.InUnit(h.At), h.Net, h.Part))],
            [.. solution.Findings.Select(finding => FindingAnswer.Of(layout, finding))],
            request.SuggestedEdits is null ? [] : [.. solution.Edits.Select(edit => EditAnswer.Of(layout, edit))],
            [.. solution.Field.Vias.Entries.Select((via, entry) => Via(board, via, entry))],
            [.. solution.Field.Vias.Nets.Select(via => new NetViaAnswer(Net(board, via.Net), via.Count, via.Watts))],
            Heat(solution.Field, request.Conditions),
            Surfaces(solution.Field.Surfaces),
            solution.Warnings,
            Accuracy(solution.Accuracy, solution.Field.Solve),
            Seconds(solution.Seconds),
            ReportRoutes.Links(request.Id),
            JsonElement.Parse(request.ConditionsJson),
            JsonElement.Parse(request.GridJson));
    }

    private static ConverterAnswer? Converter(Board board, Converter? given, ConverterReading? reading) => given is null || reading is null ? null : new(
        board.Parts[given.Part].Id,
        board.Parts[given.Inductor].Id,
        given.Topology == ConverterTopology.Buck ? "buck" : "boost",
        reading.DutyRatio,
        reading.InductorAmperes,
        reading.RippleAmperes,
        reading.InputWatts,
        reading.OutputWatts,
        reading.Efficiency,
        reading.PartCelsius,
        reading.InductorCelsius,
        [.. reading.Losses.Select(loss => new ConverterLossAnswer(board.Parts[loss.Part].Id, loss.Kind, loss.Watts))],
        reading.Warnings);

    public static GridAnswer Grid(BoardGrid grid) =>
        new([grid.Origin.X * MmPerMeter, grid.Origin.Y * MmPerMeter], [grid.PitchX * MmPerMeter, grid.PitchY * MmPerMeter], grid.Columns, grid.Rows);

    private static PartAnswer Part(Board board, PartSummary part, PartTemperatures solved) => new(
        part.Id,
        part.Watts,
        part.MaxCelsius,
        part.GridErrorKelvin!.Value,
        part.LimitCelsius,
        part.MarginKelvin,
        part.Nodes,
        [.. part.Terminals.Select(t => new TerminalAnswer(t.Name, t.Celsius, t.Watts))],
        [.. solved.Paths.Select(path => Path(board, path))]);

    private static PathAnswer Path(Board board, PartPath path) => path.Kind == PathKind.OuterCopper
        ? new(Net(board, path.Net), board.Layers[path.Layer].Name, null, path.Watts)
        : new(Net(board, path.Net), null, JsonNamingPolicy.CamelCase.ConvertName(path.Kind.ToString()), path.Watts);

    private static ViaAnswer Via(Board board, ViaFlow via, int entry) => new(
        Net(board, board.Vias[entry].Net),
        entry,
        via.Count,
        via.Watts,
        via.Watts / Math.Max(1, via.Count),
        via.AboveLayer < 0 ? [] : [board.Layers[via.AboveLayer].Name, board.Layers[via.AboveLayer + 1].Name]);

    private static string? Net(Board board, int net) => net < 0 ? null : board.Nets[net].Name;

    private static HeatAnswer Heat(TemperatureField field, Conditions conditions)
    {
        var heat = field.Heat;
        var contacts = conditions.Contacts.Zip(field.Surfaces.Contacts, (given, c) => new ContactAnswer(given.Name, c.Watts, c.MeanCelsius, c.AreaSquareMeters * Mm2PerSquareMeter));
        return new(heat.DissipatedWatts, heat.TopWatts, heat.BottomWatts, heat.EdgesWatts, heat.ContactWatts.Sum(), heat.PartsWatts, heat.ImbalanceWatts, [.. contacts]);
    }

    private static SurfacesAnswer Surfaces(SurfaceReadings surfaces) => new(Surface(surfaces.Top), Surface(surfaces.Bottom), Surface(surfaces.Edges));

    private static SurfaceAnswer Surface(SurfaceReading s) => new(
        s.Correlation, s.AreaSquareMeters * Mm2PerSquareMeter, s.MeanCelsius, s.Watts, s.ConvectionWatts, s.RadiationWatts, s.MeanFilm, s.LeastFilm, s.GreatestFilm, s.ConvectiveFilm, s.RadiativeFilm,
        s.LengthScale * MmPerMeter, s.Rayleigh, s.Reynolds, s.Nusselt, s.Prandtl, s.Warnings);

    private static AccuracyAnswer Accuracy(Accuracy a, SolveFigures solve) =>
        new(a.PitchMeters * MmPerMeter, a.Unknowns, a.Iterations, a.RelativeResidual, a.GridErrorKelvin, a.TargetErrorMet, solve.FilmResiduals);

    private static SecondsAnswer Seconds(StepSeconds s) => new(s.Raster, s.Assemble, s.Solve, s.GridError, s.Findings, s.Total);
}
