using System.Globalization;
using System.Text.Json;
using HeatSpread.Service.Access;
using NATS.Client.JetStream;
using NATS.Client.JetStream.Models;

namespace HeatSpread.Service.Distributed;

/// <summary>The audit log of all processes in one stream, a subject for each day.</summary>
internal sealed class NatsAudit(NatsLink link) : IAuditLog
{
    public void Add(AuditLine line) => link.Ask(
        async (streams, token) =>
        {
            var kept = await streams.PublishAsync(Subject(DateOnly.FromDateTime(line.Time.UtcDateTime)), JsonSerializer.SerializeToUtf8Bytes(line, ServiceJson.Written.AuditLine), cancellationToken: token);
            kept.EnsureSuccess();
            return true;
        },
        CancellationToken.None).GetAwaiter().GetResult();

    public byte[] Read(DateOnly day) => link.Ask(
        async (streams, token) =>
        {
            var lines = new MemoryStream();
            var stream = await streams.GetStreamAsync(link.AuditStream, new StreamInfoRequest { SubjectsFilter = Subject(day) }, token);
            if (stream.Info.State.Subjects is not { } counts || !counts.TryGetValue(Subject(day), out var left)) return [];
            var consumer = await streams.CreateOrderedConsumerAsync(link.AuditStream, new NatsJSOrderedConsumerOpts { FilterSubjects = [Subject(day)] }, token);
            await foreach (var message in consumer.ConsumeAsync<byte[]>(cancellationToken: token))
            {
                lines.Write(message.Data);
                lines.WriteByte((byte)'\n');
                if (--left == 0) break;
            }
            return lines.ToArray();
        },
        CancellationToken.None).GetAwaiter().GetResult();

    private string Subject(DateOnly day) => $"{link.Name}.audit.{day.ToString("yyyy-MM-dd", CultureInfo.InvariantCulture)}";
}
