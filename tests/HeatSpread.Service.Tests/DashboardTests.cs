using System.Net;
using Microsoft.AspNetCore.Mvc.Testing;

namespace HeatSpread.Service.Tests;

public sealed class DashboardTests : IDisposable
{
    private readonly TemporaryFolder _folder = new();

    [Fact]
    public async Task Latest_is_the_newest_solution_of_a_board_s_name_in_every_form()
    {
        await using var service = new ServiceUnderTest(_folder.Path);
        using var client = service.CreateClient(new WebApplicationFactoryClientOptions { AllowAutoRedirect = false });
        using (var none = await client.Get("/v1/boards/dash%20board/latest")) Assert.Equal(HttpStatusCode.NotFound, none.StatusCode);
        foreach (double watts in (double[])[1, 2])
        {
            string id = (await client.Solve(Boards.Plate("dash board", "Top/Cu", watts))).GetProperty("id").GetString()!;
            await client.Solve(Boards.Plate("another board"));
            Assert.Equal($"/v1/solutions/{id}", await Target("/v1/boards/dash%20board/latest"));
            Assert.Equal($"/v1/solutions/{id}/layers/Top%2FCu.png?width=640&min=25", await Target("/v1/boards/dash%20board/latest/layers/Top%2FCu.png?width=640&min=25"));
            Assert.Equal($"/v1/solutions/{id}/layers/L2.npy", await Target("/v1/boards/dash%20board/latest/layers/L2.npy"));
            Assert.Equal($"/v1/solutions/{id}/views/top.png", await Target("/v1/boards/dash%20board/latest/views/top.png"));
            Assert.Equal($"/embed/solutions/{id}?layer=L2", await Target("/embed/boards/dash%20board/latest?layer=L2"));
            using var picture = await client.Get(await Target("/v1/boards/dash%20board/latest/layers/Top%2FCu.png"));
            Assert.Equal("image/png", picture.Content.Headers.ContentType?.MediaType);
        }

        async Task<string> Target(string address)
        {
            using var response = await client.Get(address);
            Assert.Equal(HttpStatusCode.TemporaryRedirect, response.StatusCode);
            Assert.True(response.Headers.CacheControl!.NoCache);
            return response.Headers.Location!.OriginalString;
        }
    }

    [Fact]
    public async Task The_embeddable_view_shows_a_layer_and_may_be_framed_by_listed_sites_only()
    {
        await using var service = new ServiceUnderTest(_folder.Path, ("EmbedOrigins:0", "https://dashboard.example"));
        using var client = service.CreateClient();
        string id = (await client.Solve(Boards.Plate("<b>bold</b>"))).GetProperty("id").GetString()!;
        using var page = await client.Get($"/embed/solutions/{id}?layer=L2&min=25&isotherms=true");
        string html = await page.Content.ReadAsStringAsync(TestContext.Current.CancellationToken);
        Assert.Equal("text/html", page.Content.Headers.ContentType?.MediaType);
        Assert.DoesNotContain("<b>", html, StringComparison.Ordinal);
        Assert.Contains("within limits", html, StringComparison.Ordinal);
        string source = WebUtility.HtmlDecode(System.Text.RegularExpressions.Regex.Match(html, "src=\"([^\"]+)\"").Groups[1].Value);
        using (var picture = await client.Get(new Uri(new Uri($"http://localhost/embed/solutions/{id}"), source).PathAndQuery))
        {
            Assert.Equal("image/png", picture.Content.Headers.ContentType?.MediaType);
            Assert.Contains("/layers/L2.png", picture.RequestMessage!.RequestUri!.AbsolutePath, StringComparison.Ordinal);
            Assert.Contains("isotherms=true", picture.RequestMessage.RequestUri.Query, StringComparison.Ordinal);
        }
        Assert.Contains("frame-ancestors 'self' https://dashboard.example;", Assert.Single(page.Headers.GetValues("Content-Security-Policy")), StringComparison.Ordinal);
        using (var other = await client.Get("/")) Assert.Contains("frame-ancestors 'none'", Assert.Single(other.Headers.GetValues("Content-Security-Policy")), StringComparison.Ordinal);
        using (var style = await client.Get("/embed.css")) Assert.Equal(HttpStatusCode.OK, style.StatusCode);
        using (var noLayer = await client.Get($"/embed/solutions/{id}?layer=L9")) Assert.Equal(HttpStatusCode.NotFound, noLayer.StatusCode);
        using (var bad = await client.Get($"/embed/solutions/{id}?colour=1&width=9")) Assert.Equal(2, (await bad.Body()).GetProperty("errors").GetArrayLength());
        using (var unknown = await client.Get("/embed/solutions/unknown")) Assert.Equal(HttpStatusCode.NotFound, unknown.StatusCode);
    }

    public void Dispose() => _folder.Dispose();
}
