using System.Net;
using System.Text;
using HeatSpread.Service.Layouts;
using HeatSpread.Service.Storage;
using Microsoft.Extensions.FileProviders;
using Microsoft.Extensions.Hosting;
using Microsoft.Extensions.Logging.Abstractions;
using Microsoft.Extensions.Options;

namespace HeatSpread.Service.Tests;

public sealed class StoreTests
{
    private const string Id = "0123456789abcdef0123456789abcdef";
    private static readonly LayoutLabels Labels = new("board", "A", "mm", DateTimeOffset.UnixEpoch);

    [Fact]
    public async Task A_restart_keeps_layouts_and_solutions_with_the_same_bytes()
    {
        using var folder = new TemporaryFolder();
        string image, id;
        byte[] before;
        await using (var first = new ServiceUnderTest(folder.Path))
        {
            using var client = first.CreateClient();
            var solution = await client.Solve(Boards.Plate("kept"));
            id = solution.GetProperty("id").GetString()!;
            image = solution.GetProperty("layers")[0].GetProperty("image").GetString()! + "?isotherms=true";
            using var picture = await client.Get(image);
            before = await picture.Bytes();
        }
        await using var second = new ServiceUnderTest(folder.Path);
        using var again = second.CreateClient();
        using var kept = await again.Get(image);
        Assert.Equal(before, await kept.Bytes());
        using var view = await again.Get($"/v1/solutions/{id}/views/top.png");
        Assert.Equal(HttpStatusCode.OK, view.StatusCode);
        var list = await again.Get("/v1/layouts").Success();
        Assert.Equal("kept", Assert.Single(list.GetProperty("layouts").EnumerateArray()).GetProperty("name").GetString());
    }

    [Fact]
    public async Task A_damaged_solution_is_reported_once_set_aside_and_can_be_made_anew()
    {
        using var folder = new TemporaryFolder();
        string id;
        await using (var first = new ServiceUnderTest(folder.Path))
        {
            using var client = first.CreateClient();
            id = (await client.Solve(Boards.Plate("damaged"))).GetProperty("id").GetString()!;
        }
        FlipByte(Path.Combine(folder.Path, "solutions", id, "row-1.npy"));
        await using var second = new ServiceUnderTest(folder.Path);
        using var again = second.CreateClient();
        using (var refused = await again.Get($"/v1/solutions/{id}/layers/L1.png"))
        {
            Assert.Equal(HttpStatusCode.InternalServerError, refused.StatusCode);
            Assert.Equal("urn:heatspread:problem:damaged-entry", (await refused.Body()).GetProperty("type").GetString());
        }
        using (var gone = await again.Get($"/v1/solutions/{id}")) Assert.Equal(HttpStatusCode.NotFound, gone.StatusCode);
        Assert.Single(Directory.GetDirectories(Path.Combine(folder.Path, "damaged", "solutions")));
        Assert.Equal(id, (await again.Solve(Boards.Plate("damaged"))).GetProperty("id").GetString());
        using var picture = await again.Get($"/v1/solutions/{id}/layers/L1.png");
        Assert.Equal(HttpStatusCode.OK, picture.StatusCode);
    }

    [Fact]
    public void An_entry_reads_as_it_was_written_and_only_once()
    {
        using var place = new Place();
        Assert.True(place.Store().Add(Id, Labels, [new("a.json", "one"u8.ToArray())]));
        place.Reopen();
        var store = place.Store();
        Assert.False(store.Add(Id, Labels, [new("a.json", "two"u8.ToArray())]));
        Assert.Equal("one", Encoding.UTF8.GetString(store.Read(Id, "a.json")!));
        Assert.Equal(Labels, store.Labels(Id));
        Assert.True(store.Remove(Id));
        Assert.Null(store.Read(Id, "a.json"));
        Assert.False(Directory.Exists(Path.Combine(place.Entries, Id)));
    }

    [Fact]
    public void An_entry_that_cannot_be_written_leaves_nothing_and_says_what_the_disk_said()
    {
        using var place = new Place();
        var store = place.Store();
        Assert.Throws<DirectoryNotFoundException>(() => store.Add(Id, Labels, [new("a.json", "one"u8.ToArray()), new("no-such-folder/b.json", "two"u8.ToArray())]));
        Assert.False(store.Contains(Id));
        Assert.Empty(Directory.GetFileSystemEntries(Path.Combine(place.Root, "incoming", "layouts")));
    }

    [Fact]
    public void What_a_killed_process_left_half_written_is_no_entry()
    {
        using var place = new Place();
        place.Store();
        string half = Path.Combine(place.Root, "incoming", "layouts", Id + "-half");
        Directory.CreateDirectory(half);
        File.WriteAllText(Path.Combine(half, "a.json"), "on");
        place.Reopen();
        Assert.Empty(place.Store().Entries);
        Assert.False(Directory.Exists(half));
    }

    [Theory]
    [InlineData("SHA256SUMS", true)]
    [InlineData("labels.json", true)]
    [InlineData("SHA256SUMS", false)]
    [InlineData("labels.json", false)]
    public void An_entry_of_damaged_labels_or_sums_is_set_aside_at_the_start(string file, bool remove)
    {
        using var place = new Place();
        place.Store().Add(Id, Labels, [new("a.json", "one"u8.ToArray())]);
        string path = Path.Combine(place.Entries, Id, file);
        if (remove) File.Delete(path);
        else FlipByte(path);
        place.Reopen();
        var store = place.Store();
        if (store.Contains(Id)) Assert.Throws<DamagedEntryException>(() => store.Read(Id, "a.json")); // the flipped byte was in the sum of that file
        Assert.Empty(store.Entries);
        Assert.Single(Directory.GetDirectories(Path.Combine(place.Root, "damaged", "layouts")));
    }

    [Fact]
    public void A_cut_off_or_missing_file_is_found_when_it_is_read()
    {
        using var place = new Place();
        var store = place.Store();
        store.Add(Id, Labels, [new("a.json", "one"u8.ToArray()), new("b.json", "two"u8.ToArray())]);
        File.Delete(Path.Combine(place.Entries, Id, "b.json"));
        Assert.Equal("one", Encoding.UTF8.GetString(store.Read(Id, "a.json")!));
        Assert.Throws<DamagedEntryException>(() => store.Read(Id, "b.json"));
        Assert.Null(store.Read(Id, "a.json"));
    }

    [Fact]
    public void Two_writers_of_the_same_content_make_one_entry()
    {
        using var place = new Place();
        var store = place.Store();
        Parallel.For(0, 8, _ => store.Add(Id, Labels, [new("a.json", "one"u8.ToArray())]));
        Assert.Single(store.Entries);
        Assert.Equal("one", Encoding.UTF8.GetString(store.Read(Id, "a.json")!));
        Assert.Empty(Directory.GetDirectories(Path.Combine(place.Root, "incoming", "layouts")));
    }

    [Fact]
    public void A_folder_in_use_or_not_writable_stops_the_start_with_a_message()
    {
        using var place = new Place();
        var inUse = Assert.Throws<IOException>(() => new DataFolder(Options.Create(new ServiceSettings { DataFolder = place.Root }), new Environment(place.Root)));
        Assert.Contains("in use", inUse.Message, StringComparison.Ordinal);
        string file = Path.Combine(place.Root, "lock", "below");
        var notWritable = Assert.Throws<IOException>(() => new DataFolder(Options.Create(new ServiceSettings { DataFolder = file }), new Environment(place.Root)));
        Assert.Contains("HeatSpread:DataFolder", notWritable.Message, StringComparison.Ordinal);
    }

    [Fact]
    public void The_cache_lets_go_of_what_was_used_longest_ago()
    {
        var cache = new RecentlyUsed<string>(capacity: 10, text => text.Length);
        int made = 0;
        string Get(string key) => cache.GetOrMake(key, () => { made++; return key + "___"; })!;
        Get("a");
        Get("b");
        Get("a");
        Get("c"); // 12 bytes: b goes
        Assert.Equal(3, made);
        Get("a");
        Get("c");
        Assert.Equal(3, made);
        Get("b");
        Assert.Equal(4, made);
        Assert.Throws<InvalidDataException>(() => cache.GetOrMake("bad", () => throw new InvalidDataException()));
        Assert.Equal("good", cache.GetOrMake("bad", () => "good")); // a failure is not kept
        Assert.Null(cache.GetOrMake("absent", () => null));
        Assert.Equal("there", cache.GetOrMake("absent", () => "there"));
    }

    private static void FlipByte(string path)
    {
        byte[] content = File.ReadAllBytes(path);
        content[content.Length / 2] ^= 0x10;
        File.WriteAllBytes(path, content);
    }

    private sealed class Place : IDisposable
    {
        private readonly TemporaryFolder _temporary = new();
        private DataFolder _folder;

        public Place() => _folder = Open();

        public string Root => _temporary.Path;

        public string Entries => Path.Combine(Root, "layouts");

        public EntryFolder<LayoutLabels> Store() => new(_folder.Root, "layouts", ServiceJson.Written.LayoutLabels, NullLogger.Instance);

        public void Reopen()
        {
            _folder.Dispose();
            _folder = Open();
        }

        public void Dispose()
        {
            _folder.Dispose();
            _temporary.Dispose();
        }

        private DataFolder Open() => new(Options.Create(new ServiceSettings { DataFolder = Root }), new Environment(Root));
    }

    private sealed class Environment(string root) : IHostEnvironment
    {
        public string EnvironmentName { get; set; } = "Test";

        public string ApplicationName { get; set; } = "HeatSpread.Service";

        public string ContentRootPath { get; set; } = root;

        public IFileProvider ContentRootFileProvider { get; set; } = new NullFileProvider();
    }
}
