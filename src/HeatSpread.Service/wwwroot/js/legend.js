// The colour scale beside a map, with its unit and the value under the pointer.

import { h } from './dom.js';
import { niceLevels } from './isotherms.js';

export class Legend {
  constructor() {
    this.canvas = h('canvas', { class: 'legend', role: 'img' });
    this.shown = null;
    new ResizeObserver(() => this.draw()).observe(this.canvas);
    window.addEventListener('resize', () => this.draw()); // another screen has other pixels
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.draw());
  }

  /** @param {{palette: import('./palette.js').Palette, min: number, max: number, unit: string, name: string}} shown */
  show(shown) {
    this.shown = shown;
    this.canvas.setAttribute('aria-label', `Colour scale of ${shown.name}: ${Number(shown.min.toPrecision(4))} to ${Number(shown.max.toPrecision(4))} ${shown.unit}`);
    this.draw();
  }

  /** @param {number|null} value Under the pointer. */
  point(value) {
    this.value = value;
    this.draw();
  }

  draw() {
    const { canvas, shown } = this, dpr = window.devicePixelRatio || 1, width = canvas.clientWidth, height = canvas.clientHeight;
    if (!shown || width < 2) return;
    [canvas.width, canvas.height] = [Math.round(width * dpr), Math.round(height * dpr)];
    const ctx = canvas.getContext('2d'), style = getComputedStyle(canvas), inset = 14, across = width - 2 * inset;
    const place = (value) => inset + ((value - shown.min) / (shown.max - shown.min || 1)) * across;
    ctx.scale(dpr, dpr);
    for (let x = 0; x < across; x++) {
      ctx.fillStyle = shown.palette.css(x / (across - 1));
      ctx.fillRect(inset + x, 8, 1.5, 12);
    }
    ctx.fillStyle = ctx.strokeStyle = style.color;
    ctx.font = `11px ${style.fontFamily}`;
    ctx.textBaseline = 'top';
    ctx.textAlign = 'center';
    const unitWidth = ctx.measureText(shown.unit).width;
    for (const level of niceLevels(shown.min, shown.max, Math.max(2, across / 60))) {
      const x = place(level), text = String(level).replace('-', '\u2212');
      ctx.fillRect(x - 0.5, 20, 1, 4);
      if (x < width - unitWidth - 22) ctx.fillText(text, x, 26);
    }
    ctx.textAlign = 'right';
    ctx.fillText(shown.unit, width - 4, 26);
    if (this.value === null || !Number.isFinite(this.value)) return;
    const x = Math.min(width - inset, Math.max(inset, place(this.value)));
    ctx.beginPath();
    ctx.moveTo(x, 9);
    ctx.lineTo(x - 5, 1);
    ctx.lineTo(x + 5, 1);
    ctx.fill();
  }
}
