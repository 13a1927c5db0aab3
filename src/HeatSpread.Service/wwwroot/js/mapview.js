// A map of the plan on a canvas: zoom, pan, read-out, and what is drawn over the colours.

import { debounce } from './dom.js';
import { niceLevels } from './isotherms.js';
import { paintPixels } from './painter.js';

/**
 * @typedef {object} Content
 * @property {import('./plan.js').Plan} plan
 * @property {boolean} [mirror] Seen from below.
 * @property {{paint: import('./painter.js').Paint, from?: number, to?: number}[]} paints Each over a share of the width, 0 to 1.
 * @property {import('./copper.js').Copper[]} [coppers] To be looked at more closely when the view rests.
 * @property {(ctx: CanvasRenderingContext2D, view: MapView) => void} [over] Draws over the colours, in CSS pixels.
 */

const rulerLeft = 34, rulerBottom = 20, mostZoom = 200, margin = 14;

/** Above so many pixels a moving map is painted at half the resolution, and in full when it rests. */
const smoothPixels = 500_000;

/** Events: `point` (detail: [x, y] in mm or null), `pick` ([x, y]), `view`, `step` (detail: ±1, to the next layer), `escape`, `line` ([x1, y1, x2, y2], `final`). */
export class MapView extends EventTarget {
  /** @param {HTMLCanvasElement} canvas */
  constructor(canvas) {
    super();
    this.canvas = canvas;
    this.ctx = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
    this.offscreen = document.createElement('canvas');
    /** @type {Content|null} */
    this.content = null;
    this.centre = [0, 0];
    /** Times the scale at which the whole board is seen. */
    this.zoom = 1;
    this.drawing = false;
    /** @type {number[]|null} */
    this.cursor = null;
    this.rested = debounce(140, () => this.#rest());
    new ResizeObserver(() => this.refresh()).observe(canvas);
    this.#listen();
  }

  /** @param {Content} content */
  show(content) {
    const isFirst = this.content?.plan !== content.plan && !this.content;
    this.content = content;
    const { minX, minY, maxX, maxY } = content.plan.box; // the sheet is as high as the board needs, within what the style sheet allows
    this.canvas.style.aspectRatio = String(Math.min(2.4, Math.max(0.8, (maxX - minX) / (maxY - minY) / 1.08)));
    if (isFirst && this.zoom === 1) this.centre = middleOf(content.plan.box);
    this.refresh();
    this.rested();
  }

  /** Draws again before the next picture on the screen. */
  refresh() {
    this.pending ||= requestAnimationFrame(() => {
      this.pending = 0;
      this.#draw();
    });
  }

  /** Shows the whole board. */
  fit() {
    if (this.content) this.look(middleOf(this.content.plan.box), 1);
  }

  /** @param {number[]} centre mm @param {number} zoom */
  look(centre, zoom) {
    this.centre = centre;
    this.zoom = Math.min(mostZoom, Math.max(0.5, zoom));
    this.moving = true;
    this.refresh();
    this.rested();
  }

  /** Brings a box into view, if it is not; keeps the zoom where it can. @param {import('./plan.js').Box} box mm */
  reveal(box) {
    const { minX, minY, maxX, maxY } = this.window;
    if (box.minX >= minX && box.maxX <= maxX && box.minY >= minY && box.maxY <= maxY) return this.refresh();
    this.look(middleOf(box), Math.min(this.zoom, (0.7 * this.width) / (this.fitScale * Math.max(1e-6, box.maxX - box.minX)), (0.7 * this.height) / (this.fitScale * Math.max(1e-6, box.maxY - box.minY))));
  }

  get width() {
    return Math.max(1, this.canvas.clientWidth - rulerLeft);
  }

  get height() {
    return Math.max(1, this.canvas.clientHeight - rulerBottom);
  }

  /** Where texts may stand, CSS pixels. */
  get labelRoom() {
    return { left: rulerLeft, right: rulerLeft + this.width, bottom: this.height };
  }

  get fitScale() {
    const { minX, minY, maxX, maxY } = /** @type {Content} */ (this.content).plan.box;
    return Math.max(1e-6, Math.min((this.width - 2 * margin) / (maxX - minX), (this.height - 2 * margin) / (maxY - minY)));
  }

  /** CSS pixels per mm. */
  get scale() {
    return this.fitScale * this.zoom;
  }

  /** What is seen, mm. */
  get window() {
    const halfX = this.width / 2 / this.scale, halfY = this.height / 2 / this.scale, [x, y] = this.centre;
    return { minX: x - halfX, minY: y - halfY, maxX: x + halfX, maxY: y + halfY };
  }

  /** @param {number} x mm @param {number} y mm @returns {number[]} CSS pixels of the canvas. */
  toScreen(x, y) {
    const sign = this.content?.mirror ? -1 : 1;
    return [rulerLeft + this.width / 2 + sign * (x - this.centre[0]) * this.scale, this.height / 2 - (y - this.centre[1]) * this.scale];
  }

  /** @param {number} px @param {number} py @returns {number[]} mm */
  toPlan(px, py) {
    const sign = this.content?.mirror ? -1 : 1;
    return [this.centre[0] + (sign * (px - rulerLeft - this.width / 2)) / this.scale, this.centre[1] - (py - this.height / 2) / this.scale];
  }

  /** Lets something be drawn in mm. Line widths are in mm too: divide pixels by `scale`. @param {(ctx: CanvasRenderingContext2D) => void} draw */
  inPlan(draw) {
    const { ctx, scale } = this, [x0, y0] = this.toScreen(0, 0);
    ctx.save();
    ctx.translate(x0, y0);
    ctx.scale(this.content?.mirror ? -scale : scale, -scale);
    draw(ctx);
    ctx.restore();
  }

  #draw() {
    const { canvas, ctx, content } = this, dpr = window.devicePixelRatio || 1;
    const width = Math.round(canvas.clientWidth * dpr), height = Math.round(canvas.clientHeight * dpr);
    if (canvas.width !== width || canvas.height !== height) [canvas.width, canvas.height] = [width, height];
    ctx.setTransform(dpr, 0, 0, dpr, 0, 0);
    ctx.clearRect(0, 0, canvas.clientWidth, canvas.clientHeight);
    if (!content || width < 2 || height < 2) return;
    ctx.save();
    ctx.beginPath();
    ctx.rect(rulerLeft, 0, this.width, this.height);
    ctx.clip();
    this.#paint(dpr);
    content.over?.(ctx, this);
    this.#crosshair();
    ctx.restore();
    this.#rulers();
  }

  #paint(dpr) {
    const { ctx, content, offscreen, moving } = this, plan = /** @type {Content} */ (content).plan;
    const pixels = this.width * this.height * dpr * dpr, coarse = moving && pixels > smoothPixels ? 0.5 : 1;
    const width = Math.max(1, Math.round(this.width * dpr * coarse)), height = Math.max(1, Math.round(this.height * dpr * coarse));
    if (offscreen.width !== width || offscreen.height !== height) [offscreen.width, offscreen.height] = [width, height];
    const into = /** @type {CanvasRenderingContext2D} */ (offscreen.getContext('2d'));
    const image = into.createImageData(width, height);
    const [left, top] = this.toPlan(rulerLeft, 0);
    const frame = { scale: (this.scale * width) / this.width, left, top, mirror: Boolean(content?.mirror), width, height };
    const data = new Uint32Array(image.data.buffer);
    for (const { paint, from = 0, to = 1 } of content?.paints ?? []) paintPixels(data, frame, paint, Math.round(from * width), Math.round(to * width));
    into.putImageData(image, 0, 0);
    const clip = new Path2D(), [x0, y0] = this.toScreen(0, 0), s = this.scale;
    clip.addPath(plan.outline, new DOMMatrix([content?.mirror ? -s : s, 0, 0, -s, x0, y0]));
    ctx.save();
    ctx.clip(clip, 'evenodd');
    ctx.imageSmoothingEnabled = coarse < 1;
    ctx.drawImage(offscreen, rulerLeft, 0, this.width, this.height);
    ctx.restore();
    ctx.strokeStyle = this.#colour('--edge');
    ctx.lineWidth = 1.25;
    ctx.stroke(clip);
  }

  #crosshair() {
    if (!this.cursor) return;
    const { ctx } = this, [x, y] = this.toScreen(this.cursor[0], this.cursor[1]);
    for (const [colour, width] of [['#000', 3], ['#fff', 1]]) {
      ctx.strokeStyle = String(colour);
      ctx.lineWidth = Number(width);
      ctx.beginPath();
      for (const [dx, dy] of [[1, 0], [-1, 0], [0, 1], [0, -1]]) {
        ctx.moveTo(x + 4 * dx, y + 4 * dy);
        ctx.lineTo(x + 14 * dx, y + 14 * dy);
      }
      ctx.stroke();
    }
  }

  /** The sheet's frame: millimetres along its left and lower edge. */
  #rulers() {
    const { ctx, width, height } = this, { minX, minY, maxX, maxY } = this.window;
    ctx.strokeStyle = ctx.fillStyle = this.#colour('--quiet');
    ctx.lineWidth = 1;
    ctx.strokeRect(rulerLeft - 0.5, -0.5, width + 1, height + 1);
    ctx.font = `10px ${this.font}`;
    ctx.beginPath();
    ctx.textAlign = 'center';
    ctx.textBaseline = 'top';
    for (const x of niceLevels(minX, maxX, Math.max(2, width / 70))) {
      const [px] = this.toScreen(x, 0);
      ctx.moveTo(px, height);
      ctx.lineTo(px, height + 5);
      if (px > rulerLeft + 12 && px < rulerLeft + width - 36) ctx.fillText(String(x), px, height + 7);
    }
    ctx.textAlign = 'right';
    ctx.textBaseline = 'middle';
    for (const y of niceLevels(minY, maxY, Math.max(2, height / 70))) {
      const [, py] = this.toScreen(0, y);
      ctx.moveTo(rulerLeft - 5, py);
      ctx.lineTo(rulerLeft, py);
      if (py > 6 && py < height - 6) ctx.fillText(String(y), rulerLeft - 8, py);
    }
    ctx.stroke();
    ctx.textBaseline = 'top';
    ctx.fillText('mm', rulerLeft + width, height + 7);
  }

  /** The page's own typefaces. */
  get font() {
    return getComputedStyle(this.canvas).fontFamily;
  }

  #colour(name) {
    return getComputedStyle(this.canvas).getPropertyValue(name).trim() || '#888';
  }

  #rest() {
    this.moving = false;
    this.refresh();
    for (const copper of this.content?.coppers ?? []) copper.look(this.window, this.width * (window.devicePixelRatio || 1));
    this.#tell('view');
  }

  #tell(type, detail = undefined) {
    this.dispatchEvent(new CustomEvent(type, { detail }));
  }

  /** Zooms about a place of the canvas that stays where it is. */
  #zoomAt(px, py, factor) {
    if (!this.content) return;
    const [x, y] = this.toPlan(px, py), before = this.zoom, zoom = Math.min(mostZoom, Math.max(0.5, before * factor)), share = 1 - before / zoom;
    this.look([this.centre[0] + (x - this.centre[0]) * share, this.centre[1] + (y - this.centre[1]) * share], zoom);
  }

  #listen() {
    const { canvas } = this, pointers = new Map();
    let start = null, moved = false, line = null;
    const place = (event) => {
      const box = canvas.getBoundingClientRect();
      return [event.clientX - box.left, event.clientY - box.top];
    };
    canvas.addEventListener('wheel', (event) => {
      event.preventDefault();
      this.#zoomAt(...place(event), Math.exp(-event.deltaY * (event.ctrlKey ? 0.01 : event.deltaMode === 1 ? 0.05 : 0.0016)));
    }, { passive: false });
    canvas.addEventListener('pointerdown', (event) => {
      canvas.setPointerCapture(event.pointerId);
      pointers.set(event.pointerId, place(event));
      [start, moved] = [place(event), false];
      line = this.drawing && pointers.size === 1 ? this.toPlan(...place(event)) : null;
    });
    canvas.addEventListener('pointermove', (event) => {
      if (!this.content) return;
      const at = place(event), before = pointers.get(event.pointerId);
      if (before) {
        moved ||= Math.hypot(at[0] - start[0], at[1] - start[1]) > 4;
        if (line) this.#tell('line', { line: [...line, ...this.toPlan(...at)], final: false });
        else if (moved) this.#drag(pointers, event.pointerId, at);
        pointers.set(event.pointerId, at);
      }
      this.cursor = null;
      this.#tell('point', this.toPlan(...at));
    });
    const lift = (event) => {
      if (!pointers.delete(event.pointerId)) return;
      if (line && moved) this.#tell('line', { line: [...line, ...this.toPlan(...place(event))], final: true });
      else if (!moved && event.type === 'pointerup' && this.content) this.#tell('pick', this.toPlan(...place(event)));
      line = null;
    };
    canvas.addEventListener('pointerup', lift);
    canvas.addEventListener('pointercancel', lift);
    canvas.addEventListener('pointerleave', () => this.#tell('point', null));
    canvas.addEventListener('dblclick', (event) => this.#zoomAt(...place(event), 2));
    canvas.addEventListener('keydown', (event) => this.#key(event));
    matchMedia('(prefers-color-scheme: dark)').addEventListener('change', () => this.refresh());
  }

  #drag(pointers, id, at) {
    const before = pointers.get(id), others = [...pointers].filter(([other]) => other !== id).map(([, p]) => p);
    if (others.length === 0) {
      const sign = this.content?.mirror ? -1 : 1;
      this.look([this.centre[0] - (sign * (at[0] - before[0])) / this.scale, this.centre[1] + (at[1] - before[1]) / this.scale], this.zoom);
      return;
    }
    const [other] = others, spread = (p) => Math.max(10, Math.hypot(p[0] - other[0], p[1] - other[1]));
    this.#zoomAt((at[0] + other[0]) / 2, (at[1] + other[1]) / 2, spread(at) / spread(before));
  }

  #key(event) {
    if (!this.content || event.ctrlKey || event.altKey || event.metaKey) return;
    const arrows = { ArrowUp: [0, 1], ArrowDown: [0, -1], ArrowLeft: [-1, 0], ArrowRight: [1, 0] }, arrow = arrows[event.key];
    const middle = [rulerLeft + this.width / 2, this.height / 2];
    if (arrow && event.shiftKey) this.#moveCursor(arrow);
    else if (arrow && arrow[1] !== 0) this.#tell('step', -arrow[1]);
    else if (event.key === '+' || event.key === '=') this.#zoomAt(...middle, 1.4);
    else if (event.key === '-') this.#zoomAt(...middle, 1 / 1.4);
    else if (event.key === '0') this.fit();
    else if (event.key === 'Enter' && this.cursor) this.#tell('pick', this.cursor);
    else if (event.key === 'Escape') this.#tell('escape');
    else return;
    event.preventDefault();
  }

  #moveCursor([dx, dy]) {
    const step = 12 / this.scale, sign = this.content?.mirror ? -1 : 1, [x, y] = this.cursor ?? this.centre;
    this.cursor = [x + sign * dx * step, y + dy * step];
    const { minX, minY, maxX, maxY } = this.window;
    if (this.cursor[0] < minX || this.cursor[0] > maxX || this.cursor[1] < minY || this.cursor[1] > maxY) this.look([...this.cursor], this.zoom);
    else this.refresh();
    this.#tell('point', this.cursor);
  }
}

const middleOf = ({ minX, minY, maxX, maxY }) => [(minX + maxX) / 2, (minY + maxY) / 2];
