using System.Diagnostics;
using System.Globalization;
using System.Net;
using System.Net.Sockets;

namespace HeatSpread.Benchmarks.Service;

/// <summary>The queue server (Debian package <c>nats-server</c>) as a process of its own, on a free port of this machine.</summary>
internal sealed class NatsServer : IDisposable
{
    private readonly string _program, _folder;
    private readonly int _port;
    private Process _process;

    /// <param name="folder">Where it keeps its things.</param>
    public NatsServer(string folder)
    {
        _program = Program ?? throw new InvalidOperationException(NotInstalled);
        _folder = folder;
        _port = FreePort();
        _process = Start();
    }

    public const string NotInstalled = "nats-server is not installed (Debian: apt-get install nats-server).";

    /// <summary>Where it is installed; null where it is not.</summary>
    public static string? Program { get; } = (Environment.GetEnvironmentVariable("PATH") ?? "").Split(Path.PathSeparator).Append("/usr/sbin").Select(folder => Path.Combine(folder, "nats-server")).FirstOrDefault(File.Exists);

    public string Address => string.Create(CultureInfo.InvariantCulture, $"nats://127.0.0.1:{_port}");

    /// <summary>Ends it at once.</summary>
    public void Kill()
    {
        if (!_process.HasExited) _process.Kill();
        _process.WaitForExit();
    }

    /// <summary>Begins again with what it kept, at the same address.</summary>
    public void StartAgain()
    {
        Kill();
        _process.Dispose();
        _process = Start();
    }

    public void Dispose()
    {
        Kill();
        _process.Dispose();
    }

    private Process Start()
    {
        var start = new ProcessStartInfo(_program, ["-js", "-a", "127.0.0.1", "-p", _port.ToString(CultureInfo.InvariantCulture), "-sd", _folder]) { RedirectStandardError = true };
        var process = Process.Start(start)!;
        process.ErrorDataReceived += (_, _) => { };
        process.BeginErrorReadLine();
        for (var watch = Stopwatch.StartNew(); watch.Elapsed < TimeSpan.FromSeconds(20); Thread.Sleep(20))
        {
            try
            {
                using var client = new TcpClient();
                client.Connect(IPAddress.Loopback, _port);
                return process;
            }
            catch (SocketException)
            {
                // it does not listen yet
            }
        }
        throw new InvalidOperationException("nats-server does not listen.");
    }

    private static int FreePort()
    {
        using var listener = new TcpListener(IPAddress.Loopback, 0);
        listener.Start();
        return ((IPEndPoint)listener.LocalEndpoint).Port;
    }
}
