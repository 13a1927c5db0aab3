using SkiaSharp;

namespace HeatSpread.Rendering.Reports;

/// <summary>Fills pages from top to bottom. What is placed is never cut; headings wait for what follows them, so that none stands last on a page.</summary>
/// <param name="format">Of every page.</param>
internal sealed class PageFlow(PageFormat format)
{
    private readonly List<List<Action<SKCanvas>>> _pages = [[]];
    private readonly List<(float Height, Action<SKCanvas, float> Draw)> _waiting = [];
    private float _top = format.Text.Top;

    public PageFormat Format => format;

    public float Left => format.Text.Left;

    public float Width => format.Text.Width;

    /// <summary>Most that fits on an empty page.</summary>
    public float PageHeight => format.Text.Height;

    /// <summary>One list of drawing steps a page.</summary>
    public IReadOnlyList<IReadOnlyList<Action<SKCanvas>>> Pages => _pages;

    private bool IsEmptyPage => _pages[^1].Count == 0;

    private float Waiting => _waiting.Sum(item => item.Height);

    /// <summary>Whether something of this height still fits, with what waits for it.</summary>
    public bool HasRoom(float height) => _top + Waiting + height <= format.Text.Bottom + 0.01f;

    /// <summary>Goes onto the page of what comes next.</summary>
    /// <param name="height">Points.</param>
    /// <param name="draw">Given the canvas and its top.</param>
    public void Await(float height, Action<SKCanvas, float> draw) => _waiting.Add((height, draw));

    /// <param name="height">Points, at most <see cref="PageHeight"/>.</param>
    /// <param name="draw">Given the canvas and its top.</param>
    public void Place(float height, Action<SKCanvas, float> draw)
    {
        if (!HasRoom(height) && !IsEmptyPage) NewPage();
        foreach (var item in _waiting) Put(item.Height, item.Draw);
        _waiting.Clear();
        Put(height, draw);
    }

    /// <summary>Free space, none at the top of a page.</summary>
    public void Gap(float height)
    {
        if (_waiting.Count > 0) Await(height, static (_, _) => { });
        else if (!IsEmptyPage) _top += height;
    }

    public void NewPage()
    {
        if (IsEmptyPage) return;
        _pages.Add([]);
        _top = format.Text.Top;
    }

    private void Put(float height, Action<SKCanvas, float> draw)
    {
        float top = _top;
        _pages[^1].Add(canvas => draw(canvas, top));
        _top += height;
    }
}
