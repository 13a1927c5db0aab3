using System.Runtime.InteropServices;
using SkiaSharp;

namespace HeatSpread.Rendering;

/// <summary>A field as pixels: each pixel's place in the palette, from which the picture and the tone of its lines are made.</summary>
internal sealed class ColourField
{
    private readonly SKRect _target;
    private readonly int _width;
    private readonly int _height;
    private readonly ushort[] _index;

    /// <param name="target">Where it lies in the picture, whole pixels.</param>
    /// <param name="values">One a pixel, row by row from the top.</param>
    /// <param name="scale">To colours.</param>
    public ColourField(SKRect target, ReadOnlySpan<float> values, ColourScale scale)
    {
        _target = target;
        (_width, _height) = ((int)target.Width, (int)target.Height);
        Scale = scale;
        _index = new ushort[_width * _height];
        double factor = (Palette.Steps - 1) / (scale.Max - scale.Min);
        for (int i = 0; i < _index.Length; i++) _index[i] = (ushort)(Math.Clamp((values[i] - scale.Min) * factor, 0, Palette.Steps - 1) + 0.5);
    }

    public ColourScale Scale { get; }

    /// <summary>The field's own colours, for filling shapes.</summary>
    public SKShader Fill() => Shader(Scale.Palette.Colours);

    /// <summary>A tone that shows on the field everywhere, for thin lines.</summary>
    public SKShader Ink() => Shader(Scale.Palette.Inks);

    /// <summary>White or near black, whichever shows at a place of the picture.</summary>
    public SKColor ContrastAt(SKPoint place) => Scale.Palette.ContrastAt(FractionAt(place));

    public SKColor ColourAt(SKPoint place) => Scale.Palette.At(FractionAt(place));

    private double FractionAt(SKPoint place)
    {
        int x = Math.Clamp((int)(place.X - _target.Left), 0, _width - 1), y = Math.Clamp((int)(place.Y - _target.Top), 0, _height - 1);
        return _index[y * _width + x] / (double)(Palette.Steps - 1);
    }

    private SKShader Shader(ReadOnlySpan<SKColor> colours)
    {
        using var bitmap = new SKBitmap(new SKImageInfo(_width, _height, SKColorType.Bgra8888, SKAlphaType.Opaque));
        var pixels = MemoryMarshal.Cast<byte, uint>(bitmap.GetPixelSpan());
        for (int y = 0; y < _height; y++)
        {
            var row = pixels.Slice(y * bitmap.RowBytes / sizeof(uint), _width);
            for (int x = 0; x < _width; x++) row[x] = (uint)colours[_index[y * _width + x]];
        }
        bitmap.SetImmutable(); // else the image takes a copy
        using var image = SKImage.FromBitmap(bitmap);
        return image.ToShader(SKShaderTileMode.Clamp, SKShaderTileMode.Clamp, new SKSamplingOptions(SKFilterMode.Nearest), SKMatrix.CreateTranslation(_target.Left, _target.Top));
    }
}
