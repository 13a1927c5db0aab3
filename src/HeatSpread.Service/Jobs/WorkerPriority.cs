using System.Runtime.InteropServices;

namespace HeatSpread.Service.Jobs;

/// <summary>Solves yield to requests: on a machine whose cores all solve, an answer that takes a millisecond need not wait for a time slice.</summary>
internal static partial class WorkerPriority
{
    private const int OfThread = 0; // PRIO_PROCESS of setpriority(2), which on Linux means one thread
    private const int Niceness = 5; // a third of a request's share where both want the core

    /// <summary>
    /// Lowers the calling thread, and with it the threads that it starts from now on. <see cref="Thread.Priority"/> does nothing on Linux, but the solver goes by it: what waits for its turn is never done by a thread of another priority.
    /// </summary>
    public static void Lower()
    {
        Thread.CurrentThread.Priority = ThreadPriority.BelowNormal;
        if (OperatingSystem.IsLinux()) _ = SetPriority(OfThread, 0, Niceness);
    }

    [LibraryImport("libc", EntryPoint = "setpriority")]
    private static partial int SetPriority(int which, int who, int niceness);
}
