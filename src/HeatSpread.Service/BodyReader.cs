using HeatSpread.Import;
using HeatSpread.Service.Problems;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service;

/// <summary>Reads bodies of requests, within their bounds.</summary>
internal sealed class BodyReader(IOptions<ServiceSettings> settings)
{
    /// <summary>The whole body.</summary>
    /// <returns>Bytes, or the problem.</returns>
    public async Task<(ReadOnlyMemory<byte> Json, Problem? Problem)> ReadJson(HttpRequest request, CancellationToken cancellationToken)
    {
        if (!request.HasJsonContentType()) return (default, MediaType(request, "application/json"));
        if (request.ContentLength > settings.Value.MaximumBodyBytes) return (default, ExceptionProblems.BodyTooLarge(settings.Value));
        var body = await ReadAll(request.Body, request.ContentLength ?? 0, cancellationToken);
        if (body is null) return (default, ExceptionProblems.BodyTooLarge(settings.Value));
        return body.AsSpan().IndexOfAnyExcept(" \t\r\n"u8) < 0 ? (default, new Problem(ProblemKind.MalformedJson, "The body must hold JSON; it is empty.")) : (body, null);
    }

    /// <summary>Description and files of a form.</summary>
    public async Task<(ReadOnlyMemory<byte> Description, IReadOnlyList<FabricationFile> Files, Problem? Problem)> ReadForm(HttpRequest request, CancellationToken cancellationToken)
    {
        if (request.ContentLength > settings.Value.MaximumBodyBytes) return (default, [], ExceptionProblems.BodyTooLarge(settings.Value));
        IFormCollection form;
        try
        {
            form = await request.ReadFormAsync(cancellationToken);
        }
        catch (Exception fault) when (fault is InvalidDataException or (IOException and not BadHttpRequestException))
        {
            return (default, [], new Problem(ProblemKind.MalformedForm, fault.Message));
        }
        int count = form.Files.GetFiles("files").Count;
        if (count > settings.Value.MaximumFiles) return (default, [], new Problem(ProblemKind.TooManyFiles, $"The form may have at most {settings.Value.MaximumFiles} files (setting {ServiceSettings.Section}:{nameof(ServiceSettings.MaximumFiles)}); it has {count}."));
        var faults = FormFaults(form);
        if (faults.Count > 0) return (default, [], new Problem(ProblemKind.MalformedForm, string.Join(' ', faults)));
        var files = new List<FabricationFile>();
        foreach (var file in form.Files.GetFiles("files")) files.Add(new FabricationFile(Path.GetFileName(file.FileName), await ReadAll(file, cancellationToken)));
        return (await ReadDescription(form, cancellationToken), files, null);
    }

    public static Problem MediaType(HttpRequest request, string taken) =>
        new(ProblemKind.UnsupportedMediaType, $"This address takes {taken}; the request said {(string.IsNullOrEmpty(request.ContentType) ? "nothing of its body's type" : request.ContentType)}.");

    private static List<string> FormFaults(IFormCollection form)
    {
        int descriptions = form["description"].Count + form.Files.GetFiles("description").Count, files = form.Files.GetFiles("files").Count;
        List<string> faults = [];
        if (descriptions != 1) faults.Add($"The form must have one part named description (JSON); it has {descriptions}.");
        if (files < 1) faults.Add("The form must have at least one file in parts named files; it has none.");
        var strange = form.Keys.Concat(form.Files.Select(f => f.Name)).Distinct().Where(name => name is not "description" and not "files").ToList();
        if (strange.Count > 0) faults.Add($"The form has parts of names that are not known: {string.Join(", ", strange)}.");
        return faults;
    }

    private static async Task<byte[]> ReadDescription(IFormCollection form, CancellationToken cancellationToken) =>
        form.Files.GetFile("description") is { } file ? await ReadAll(file, cancellationToken) : System.Text.Encoding.UTF8.GetBytes(form["description"].ToString());

    private static async Task<byte[]> ReadAll(IFormFile file, CancellationToken cancellationToken)
    {
        byte[] content = new byte[file.Length];
        await using var stream = file.OpenReadStream();
        await stream.ReadExactlyAsync(content, cancellationToken);
        return content;
    }

    private async Task<byte[]?> ReadAll(Stream body, long expected, CancellationToken cancellationToken)
    {
        using var whole = new MemoryStream((int)Math.Min(expected, settings.Value.MaximumBodyBytes));
        byte[] piece = new byte[64 * 1024];
        for (int read; (read = await body.ReadAsync(piece, cancellationToken)) > 0;)
        {
            if (whole.Length + read > settings.Value.MaximumBodyBytes) return null;
            whole.Write(piece, 0, read);
        }
        return whole.ToArray();
    }
}
