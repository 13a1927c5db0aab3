// Two boards on one map: their difference, a swipe between them, or one after the other.

import { keptArray } from './api.js';
import { Copper } from './copper.js';
import { byId, fill } from './dom.js';
import { Field } from './field.js';
import { Labels } from './labels.js';
import { Legend } from './legend.js';
import { MapView } from './mapview.js';
import { drawAreas, drawParts, namePartsOn, strokeTwice } from './marks.js';

export const modes = [['difference', 'Difference'], ['swipe', 'Swipe'], ['blink', 'Blink']];

const blinkMilliseconds = 800;

export class CompareMap {
  constructor(comparison, candidate, before, after, palettes, state) {
    Object.assign(this, { comparison, candidate, before, after, palettes, state });
    this.view = new MapView(byId('map'));
    this.legend = new Legend();
    fill(byId('legend'), this.legend.canvas);
    this.coppers = new Map();
    this.ends = [0, 1];
    this.unit = 'K';
    this.showsAfter = true;
    const { box } = after.plan, [x, y, zoom] = state.get('view').split(',').map(Number);
    this.view.content = { plan: after.plan, paints: [] };
    this.view.centre = [(box.minX + box.maxX) / 2, (box.minY + box.maxY) / 2];
    if (Number.isFinite(zoom)) this.view.look([x, y], zoom);
    this.view.addEventListener('view', () => {
      const [cx, cy] = this.view.centre;
      this.ownView = this.view.zoom === 1 ? '' : `${cx.toFixed(2)},${cy.toFixed(2)},${this.view.zoom.toFixed(3)}`;
      state.set({ view: this.ownView });
    });
    state.addEventListener('change', () => this.#followView());
    this.isBlinking = false;
    this.#dragSwipe();
  }

  /** An address that was gone back to has its own view. */
  #followView() {
    const wanted = this.state.get('view'), [x, y, zoom] = wanted.split(',').map(Number);
    if (wanted === (this.ownView ?? wanted)) return;
    this.ownView = wanted;
    if (Number.isFinite(zoom)) this.view.look([x, y], zoom);
    else this.view.fit();
  }

  /** @param {string} layer @param {any} entry Of the ledger, lit; null: none. */
  async draw(layer, entry) {
    const token = (this.token = {}), { comparison, candidate, before, after } = this, name = encodeURIComponent(layer);
    const field = async (address, grid) => new Field(grid, /** @type {Float32Array} */ ((await keptArray(address)).values));
    const gridOf = ({ solution }) => solution.layers.find((each) => each.name === layer).grid;
    const fields = this.layer === layer && this.fields ? this.fields : await Promise.all([
      field(`v1/comparisons/${comparison.id}/candidates/${candidate.solution}/layers/${name}.npy`, candidate.grid),
      field(`v1/solutions/${comparison.baseline}/layers/${name}.npy`, gridOf(before)), field(`v1/solutions/${candidate.solution}/layers/${name}.npy`, gridOf(after)),
    ]);
    if (this.token !== token) return;
    Object.assign(this, { layer, entry, fields });
    this.#compose();
  }

  /** Shows the other board. */
  turn() {
    this.showsAfter = !this.showsAfter;
    if (this.state.get('mode') !== 'blink') this.state.set({ mode: 'blink' }, { step: true });
    this.#compose();
  }

  /** Turns over and over. @param {boolean} on */
  blink(on) {
    this.isBlinking = on;
    clearInterval(this.timer);
    if (on) this.timer = setInterval(() => this.state.get('mode') === 'blink' && this.turn(), blinkMilliseconds);
  }

  /** @param {number[]} place mm */
  read([x, y]) {
    if (!this.fields) return null;
    const [delta, before, after] = this.fields.map((field) => field.at(x, y)), mode = this.state.get('mode');
    const part = this.after.plan.partAt(x, y), net = this.#copper(this.after).netAt(x, y), digits = (value) => (Number.isNaN(value) ? 'no board' : value.toFixed(1));
    return { value: mode === 'difference' ? delta : after, text: [`${this.before.solution.revision}: ${digits(before)} °C`, `${this.candidate.revision}: ${digits(after)} °C`, `difference ${digits(delta)} K`, net ? `net ${net}` : 'no copper', part ? `part ${part.id}` : null, `x ${x.toFixed(2)}, y ${y.toFixed(2)} mm`].filter(Boolean).join(' · ') };
  }

  #copper({ solution, plan }) {
    const key = `${solution.id} ${this.layer}`;
    if (!this.coppers.has(key)) this.coppers.set(key, new Copper(solution.id, this.layer, plan, () => this.#compose()));
    return this.coppers.get(key);
  }

  #compose() {
    if (!this.fields) return;
    const mode = this.state.get('mode'), [delta, first, second] = this.fields, at = Number(this.state.get('at'));
    const copperOf = (board) => this.#copper(board), rasterOf = (board) => copperOf(board).detail ?? copperOf(board).overview;
    const isDifference = mode === 'difference', scale = Math.max(0.01, this.comparison.scaleKelvin);
    this.unit = isDifference ? 'K' : '°C';
    const both = [...this.before.solution.layers, ...this.after.solution.layers];
    this.ends = isDifference ? [-scale, scale] : [Math.floor(Math.min(...both.map(({ minCelsius }) => minCelsius))), Math.ceil(Math.max(...both.map(({ maxCelsius }) => maxCelsius)))];
    const palette = this.palettes.find(isDifference ? this.palettes.usual.difference : this.palettes.usual.temperature);
    const paint = (field, board) => ({ field, palette, min: this.ends[0], max: this.ends[1], owners: rasterOf(board), lit: -1, copperColours: null, edge: 0 });
    const shown = this.showsAfter ? this.after : this.before;
    const paints = isDifference ? [{ paint: paint(delta, this.after) }]
      : mode === 'swipe' ? [{ paint: paint(first, this.before), to: at }, { paint: paint(second, this.after), from: at }]
        : [{ paint: paint(this.showsAfter ? second : first, shown) }];
    this.view.show({ plan: mode === 'blink' ? shown.plan : this.after.plan, paints, coppers: isDifference ? [copperOf(this.after)] : [copperOf(this.before), copperOf(this.after)], over: (ctx, view) => this.#over(ctx, view, mode, at, shown) });
    this.view.canvas.setAttribute('aria-label', `Map of ${this.layer}: ${isDifference ? 'candidate less baseline' : mode === 'swipe' ? 'baseline left, candidate right of the swipe' : `revision ${shown.solution.revision}`}, ${this.ends.map((end) => Number(end.toPrecision(3))).join(' to ')} ${this.unit}`);
    this.legend.show({ palette, min: this.ends[0], max: this.ends[1], unit: this.unit, name: isDifference ? 'differences' : 'temperatures' });
    Object.assign(this.view.canvas.dataset, { layer: this.layer, show: mode, ...(rasterOf(this.after) && (isDifference || rasterOf(this.before)) ? { copper: this.layer } : {}) });
    const side = document.getElementById('side');
    if (side) side.textContent = `Revision ${shown.solution.revision}${this.showsAfter ? '' : ' (baseline)'}`;
  }

  #over(ctx, view, mode, at, shown) {
    const { plan } = mode === 'blink' ? shown : this.after, sides = { side: null, selected: this.state.get('part') }, labels = new Labels(ctx, view.labelRoom);
    drawParts(ctx, view, plan, sides);
    this.#light(ctx, view);
    if (mode === 'blink') labels.write(`Revision ${shown.solution.revision}`, [[view.canvas.clientWidth - 48, 14]], true);
    if (mode === 'swipe') this.#bar(ctx, view, at, labels);
    namePartsOn(labels, view, plan, sides);
  }

  /** The swipe's bar, with the revisions on its sides. */
  #bar(ctx, view, at, labels) {
    const x = view.canvas.clientWidth - view.width + at * view.width, bar = new Path2D();
    bar.moveTo(x, 0);
    bar.lineTo(x, view.height);
    strokeTwice(ctx, bar, 1.5);
    labels.write(this.before.solution.revision, [[x - 14, 14]], true);
    labels.write(this.candidate.revision, [[x + 14, 14]], true);
  }

  /** The chosen entry of the ledger, on this layer and fainter on the others. */
  #light(ctx, view) {
    const { entry, after } = this;
    if (!entry) return;
    const pieces = entry.pieces ?? (entry.area ? [{ layer: entry.layer, area: entry.area }] : []);
    drawAreas(ctx, view, after.plan, pieces.filter(({ layer }) => layer !== this.layer).map(({ area }) => area), 'rgba(255, 255, 255, 0.12)', 0.7);
    drawAreas(ctx, view, after.plan, pieces.filter(({ layer }) => layer === this.layer).map(({ area }) => area), 'rgba(255, 214, 64, 0.45)');
    for (const place of entry.at ?? []) {
      const ring = new Path2D(), [x, y] = view.toScreen(...after.plan.point(place));
      ring.arc(x, y, 5, 0, 7);
      strokeTwice(ctx, ring, 2);
    }
  }

  /** The swipe can be taken hold of on the map. */
  #dragSwipe() {
    const { canvas } = this.view;
    let holds = false;
    const share = (event) => (event.clientX - canvas.getBoundingClientRect().left - (canvas.clientWidth - this.view.width)) / this.view.width;
    canvas.addEventListener('pointerdown', (event) => {
      holds = this.state.get('mode') === 'swipe' && Math.abs(share(event) - Number(this.state.get('at'))) * this.view.width < 10;
      if (holds) event.stopImmediatePropagation();
      if (holds) canvas.setPointerCapture(event.pointerId);
    }, { capture: true });
    canvas.addEventListener('pointermove', (event) => {
      if (!holds) return;
      event.stopImmediatePropagation();
      const at = Math.min(1, Math.max(0, share(event))).toFixed(3), range = /** @type {any} */ (document.querySelector('#slider input[type="range"]'));
      this.state.set({ at });
      if (range) range.value = at;
    }, { capture: true });
    for (const type of ['pointerup', 'pointercancel']) canvas.addEventListener(type, () => (holds = false), { capture: true });
  }
}
