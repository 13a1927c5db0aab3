using System.Text.RegularExpressions;
using Microsoft.Extensions.Configuration;

namespace HeatSpread.Service.Tests;

/// <summary>The settings that <c>compose.yaml</c> names are settings, and of values that the service takes.</summary>
public sealed partial class ComposeTests
{
    [Fact]
    public void Every_setting_of_the_compose_file_exists_and_is_in_its_range()
    {
        string text = File.ReadAllText(Path.Combine(Repository.Root, "compose.yaml"));
        var given = Setting().Matches(text).Select(match => (Name: match.Groups["name"].Value, Value: match.Groups["value"].Value.Trim('"'))).ToList();
        Assert.Equal(["Queue", "QueueAddress", "RequireKeys", "Role", "Role"], given.Select(setting => setting.Name).Order(StringComparer.Ordinal));
        foreach (string role in (string[])["web", "worker"])
        {
            Assert.Contains(("Role", role), given);
            var settings = new ServiceSettings();
            var values = given.Where(setting => setting.Name != "Role").Append(("Role", role)).ToDictionary(setting => setting.Item1, setting => (string?)setting.Item2);
            new ConfigurationBuilder().AddInMemoryCollection(values).Build().Bind(settings, options => options.ErrorOnUnknownConfiguration = true);
            Assert.True(new ServiceSettingsValidator().Validate(null, settings).Succeeded);
            Assert.True(new RoleValidator().Validate(null, settings).Succeeded);
            Assert.Equal(("nats", "nats://nats:4222", true, role), (settings.Queue, settings.QueueAddress, settings.RequireKeys, settings.Role));
        }
    }

    [GeneratedRegex("HeatSpread__(?<name>[A-Za-z_]+): *(?<value>[^\\s,}]+)")]
    private static partial Regex Setting();
}
