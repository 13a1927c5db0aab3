using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;

namespace HeatSpread.Benchmarks.Service;

/// <summary>The service as a process of its own, on a free port of this machine.</summary>
internal sealed class ServiceProcess : IDisposable
{
    private readonly Process _process;

    /// <param name="serviceDll">Path of HeatSpread.Service.dll.</param>
    /// <param name="dataFolder">Where it keeps its things.</param>
    /// <param name="settings">Names and values of the section HeatSpread, or of variables of the runtime, which begin with <c>DOTNET_</c>.</param>
    public ServiceProcess(string serviceDll, string dataFolder, params (string Name, string Value)[] settings)
        : this(serviceDll, dataFolder, _ => { }, settings)
    {
    }

    /// <param name="serviceDll">As above.</param>
    /// <param name="dataFolder">As above.</param>
    /// <param name="log">Told each line of its log, warnings and worse.</param>
    /// <param name="settings">As above.</param>
    public ServiceProcess(string serviceDll, string dataFolder, Action<string> log, params (string Name, string Value)[] settings)
    {
        Address = new Uri($"http://127.0.0.1:{FreePort()}");
        var start = new ProcessStartInfo("dotnet", [serviceDll, "--urls", Address.ToString(), "--Logging:LogLevel:Default=Warning"])
        {
            RedirectStandardOutput = true,
            RedirectStandardError = true,
        };
        start.Environment["HeatSpread__DataFolder"] = dataFolder;
        foreach (var (name, value) in settings) start.Environment[name.StartsWith("DOTNET_", StringComparison.Ordinal) ? name : "HeatSpread__" + name] = value;
        _process = Process.Start(start)!;
        _process.OutputDataReceived += (_, line) => Tell(line.Data);
        _process.ErrorDataReceived += (_, line) => Tell(line.Data);
        _process.BeginOutputReadLine();
        _process.BeginErrorReadLine();

        void Tell(string? line)
        {
            if (line is not null) log(line); // null where the stream ends
        }
    }

    public Uri Address { get; }

    /// <summary>Memory in use, bytes.</summary>
    public long ResidentBytes
    {
        get
        {
            _process.Refresh();
            return _process.WorkingSet64;
        }
    }

    /// <summary>Processor time that it has used, seconds.</summary>
    public double ProcessorSeconds
    {
        get
        {
            _process.Refresh();
            return _process.TotalProcessorTime.TotalSeconds;
        }
    }

    /// <summary>Waits until it answers on an address.</summary>
    /// <exception cref="InvalidOperationException">It ended, or did not answer within five minutes.</exception>
    public async Task Answers(HttpClient client, string path, CancellationToken cancellationToken)
    {
        for (var watch = Stopwatch.StartNew(); watch.Elapsed < TimeSpan.FromMinutes(5);)
        {
            if (_process.HasExited) throw new InvalidOperationException(string.Create(CultureInfo.InvariantCulture, $"The service ended with code {_process.ExitCode}."));
            try
            {
                using var response = await client.GetAsync(new Uri(Address, path), cancellationToken);
                if (response.IsSuccessStatusCode) return;
            }
            catch (Exception fault) when (fault is HttpRequestException || (fault is OperationCanceledException && !cancellationToken.IsCancellationRequested))
            {
                // it does not listen yet, or is too busy with its start to answer in time
            }
            await Task.Delay(20, cancellationToken);
        }
        throw new InvalidOperationException("The service does not answer.");
    }

    /// <summary>Ends it at once: SIGKILL where there is such a thing.</summary>
    public void Kill()
    {
        if (!_process.HasExited) _process.Kill();
        _process.WaitForExit();
    }

    /// <summary>Asks it to end as a rolling restart does, by SIGTERM, and waits.</summary>
    public async Task Stop()
    {
        if (!_process.HasExited)
        {
            using var kill = Process.Start("kill", ["-TERM", _process.Id.ToString(CultureInfo.InvariantCulture)]);
            await kill.WaitForExitAsync();
        }
        await _process.WaitForExitAsync();
    }

    public void Dispose()
    {
        Kill();
        _process.Dispose();
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
