// The map of one solved board: which numbers are shown, on which scale, and what is drawn over them.

import { keptArray } from './api.js';
import { Copper } from './copper.js';
import { byId, fill, h } from './dom.js';
import { Field, gridOver } from './field.js';
import { isotherms, niceLevels } from './isotherms.js';
import { Labels } from './labels.js';
import { Legend } from './legend.js';
import { MapView } from './mapview.js';
import { drawFindings, drawHotSpots, drawIsotherms, drawLine, drawParts, nameHotSpots, nameIsotherms, namePartsOn } from './marks.js';
import { netKey } from './netkey.js';
import { packed } from './palette.js';
import { bottomFace, topFace, viewName } from './stack.js';

/** What a map can show. @param {any} solution @param {string} part @returns {string[][]} */
export const quantities = (solution, part) => [
  ['temperature', 'temperature'], ['copper', 'copper by net'], ...(solution.currents.length > 0 ? [['current', 'current density']] : []), ...(part ? [['benefit', `benefit of copper for ${part}`]] : []),
];

const units = { temperature: '°C', current: 'A/mm²', benefit: 'K/mm²', copper: '' };

export class BoardMap {
  /** @param {any} solution @param {import('./plan.js').Plan} plan @param {any} palettes @param {import('./state.js').State} state */
  constructor(solution, plan, palettes, state) {
    [this.solution, this.plan, this.palettes, this.state] = [solution, plan, palettes, state];
    this.view = new MapView(byId('map'));
    this.legend = new Legend();
    this.nets = h('div');
    fill(byId('legend'), this.legend.canvas, this.nets);
    this.coppers = new Map();
    this.faces = new Map();
    /** Ends of the scale. */
    this.ends = [0, 1];
    /** @type {number[]|null} */
    this.line = null;
    this.lineAt = null;
    this.litNet = null;
    this.view.content = { plan, paints: [] };
    this.view.centre = [(plan.box.minX + plan.box.maxX) / 2, (plan.box.minY + plan.box.maxY) / 2];
    this.#followView();
    this.view.addEventListener('view', () => this.#keepView());
    state.addEventListener('change', (event) => /** @type {CustomEvent} */ (event).detail.has('view') && this.#followView());
  }

  refresh() {
    this.view.refresh();
  }

  /** Shows the copper of one net, and fades the rest; null: no net. @param {string|null} net */
  light(net) {
    this.litNet = net;
    this.#compose();
  }

  /** A layer's temperatures, as solved or as tried. @param {string} layer @param {import('./trial.js').Trials|null} trials */
  async temperatures(layer, trials) {
    if (trials?.tried) return trials.field(layer);
    const { grid } = this.solution.layers.find(({ name }) => name === layer);
    return this.#kept(`v1/solutions/${this.solution.id}/layers/${encodeURIComponent(layer)}.npy`, grid);
  }

  /**
   * Draws what the state asks for.
   * @param {string} layer Name, or a face. @param {import('./trial.js').Trials|null} trials @param {import('./trial.js').Tried|null} tried
   */
  async draw(layer, trials, tried) {
    const token = (this.token = {}), show = this.#shown(layer);
    const field = await this.#field(layer, show, trials, tried);
    if (this.token !== token) return;
    Object.assign(this, { layer, show, field, ends: this.#scale(layer, show, field, tried) });
    this.lines = this.state.get('iso') === '1' && field && show !== 'benefit' ? isotherms(field, niceLevels(this.ends[0], this.ends[1], 10)) : [];
    this.#compose();
  }

  /** The colours chosen, or those that are usual for what is shown. @param {string} layer */
  paletteName(layer) {
    const { usual } = this.palettes;
    return this.state.get('palette') || (layer.startsWith('^') || this.#shown(layer) === 'benefit' ? usual.camera : usual.temperature);
  }

  /** What the scale counts. */
  get unit() {
    return units[this.show ?? 'temperature'];
  }

  /** What lies at a place. @param {number[]} place mm @returns {{value: number, text: string}} */
  read([x, y]) {
    const { field, plan, layer, show } = this, value = field ? field.at(x, y) : NaN, where = `x ${x.toFixed(2)}, y ${y.toFixed(2)} mm`;
    const net = layer && !layer.startsWith('^') ? this.#copper(layer).netAt(x, y) : null, part = plan.partAt(x, y);
    if (field && Number.isNaN(value)) return { value, text: `${where}: no board` };
    const figure = field ? `${show === 'benefit' ? value.toPrecision(3) : value.toFixed(1)} ${units[show]}` : '';
    return { value, text: [figure, layer?.startsWith('^') ? null : net ? `net ${net}` : 'no copper', viewName(layer ?? ''), part ? `part ${part.id}` : null, where].filter(Boolean).join(' · ') };
  }

  #shown(layer) {
    const show = this.state.get('show');
    if (layer.startsWith('^')) return 'temperature';
    return quantities(this.solution, this.state.get('part')).some(([name]) => name === show) ? show : 'temperature';
  }

  async #field(layer, show, trials, tried) {
    const base = `v1/solutions/${this.solution.id}`, { grid } = this.solution.layers[0], name = encodeURIComponent(layer);
    if (layer === topFace || layer === bottomFace) return this.#face(layer === topFace ? 'top' : 'bottom');
    if (show === 'copper') return null;
    if (show === 'benefit') return this.#kept(`${base}/layers/${name}/benefit.npy?part=${encodeURIComponent(this.state.get('part'))}`, grid);
    if (show === 'current') return this.#kept(`${base}/layers/${name}/current.npy`, grid);
    return tried?.fields.get(layer) ?? this.temperatures(layer, trials);
  }

  async #face(side) {
    const { columns, rows, values } = await keptArray(`v1/solutions/${this.solution.id}/views/${side}.npy?columns=1000`);
    if (!this.faces.has(side)) this.faces.set(side, new Field(gridOver(this.plan.box, columns, rows), /** @type {Float32Array} */ (values)));
    return this.faces.get(side);
  }

  async #kept(address, grid) {
    this.fields ??= new Map();
    const { values } = await keptArray(address);
    if (this.fields.get(address)?.values !== values) this.fields.set(address, new Field(grid, /** @type {Float32Array} */ (values)));
    if (this.fields.size > 24) this.fields.delete(this.fields.keys().next().value);
    return this.fields.get(address);
  }

  #scale(layer, show, field, tried) {
    const scale = this.state.get('scale');
    if (!field) return [0, 1];
    if (show === 'benefit') return [0, upperEnd(field.values)];
    if (show === 'current') return [0, field.max || 1];
    if (scale.includes(',')) return scale.split(',').map(Number);
    if (scale === 'layer' || layer.startsWith('^')) return [field.min, field.max];
    const layers = [...this.solution.layers, ...(tried?.layers ?? [])];
    return [Math.floor(Math.min(...layers.map((each) => each.minCelsius))), Math.ceil(Math.max(...layers.map((each) => each.maxCelsius)))];
  }

  #copper(layer) {
    if (!this.coppers.has(layer)) this.coppers.set(layer, new Copper(this.solution.id, layer, this.plan, () => this.layer === layer && this.#compose()));
    return this.coppers.get(layer);
  }

  #compose() {
    const { layer, show, field, ends, plan } = this;
    if (!layer) return;
    const isFace = layer.startsWith('^'), copper = isFace ? null : this.#copper(layer), owners = copper?.detail ?? copper?.overview ?? null;
    const name = this.paletteName(layer), palette = this.palettes.find(name);
    const lit = this.litNet ? plan.netNames.indexOf(this.litNet) + 2 : -1;
    const paint = { field, palette, min: ends[0], max: ends[1], owners: show === 'benefit' ? null : owners, lit, copperColours: show === 'copper' ? netColours(plan.netNames.length, lit) : null, edge: packed([30, 30, 30]) };
    const paints = show === 'copper' && !owners ? [] : [{ paint }];
    this.view.show({ plan, mirror: layer === bottomFace, paints, coppers: copper ? [copper] : [], over: (ctx, view) => this.#over(ctx, view) });
    this.view.canvas.setAttribute('aria-label', `Map of ${viewName(layer)}: ${show === 'copper' ? 'copper by net' : `${show}, ${ends.map((end) => Number(end.toPrecision(4))).join(' to ')} ${units[show]}`}`);
    Object.assign(this.view.canvas.dataset, { layer, show, ...(owners || isFace ? { copper: layer } : {}) });
    this.legend.canvas.hidden = show === 'copper';
    this.#nets(show === 'copper' ? copper?.overview ?? null : null);
    this.legend.show({ palette, min: ends[0], max: ends[1], unit: units[show], name: show });
  }

  /** The key of a view of copper; it is made anew only where something of it changed, so that the hand that works it is not thrown off. */
  #nets(overview) {
    const { plan } = this, shown = overview && `${this.layer} ${this.litNet}`;
    if (shown === this.shownNets) return;
    this.shownNets = shown;
    const held = this.nets.contains(document.activeElement) ? document.activeElement.textContent : null, colours = netColours(plan.netNames.length, -1);
    fill(this.nets, overview ? netKey(overview, plan.netNames, (owner) => cssOf(colours[owner]), this.litNet, (net) => this.light(net)) : null);
    if (held) [...this.nets.querySelectorAll('button')].find((button) => button.textContent === held)?.focus();
  }

  #over(ctx, view) {
    const { layer, solution, plan, state, show } = this, labels = new Labels(ctx, view.labelRoom), isMarked = show !== 'copper' && show !== 'benefit' && !layer.startsWith('^'), hasOutlines = state.get('outlines') === '1';
    const sides = { side: !hasOutlines ? 'none' : layer === bottomFace ? 'bottom' : layer === topFace ? 'top' : null, selected: state.get('part') };
    if (this.lines?.length) drawIsotherms(view, this.lines);
    drawParts(ctx, view, plan, sides);
    if (this.line) drawLine(ctx, labels, view, this.line, this.lineAt);
    if (isMarked) drawHotSpots(ctx, labels, view, plan, solution.hotspots, layer, Number(state.get('spot')));
    if (isMarked) drawFindings(ctx, labels, view, plan, solution.findings, layer, state.get('finding') === '' ? -1 : Number(state.get('finding')));
    if (isMarked) nameHotSpots(labels, view, plan, solution.hotspots, layer);
    if (hasOutlines) namePartsOn(labels, view, plan, sides);
    if (this.lines?.length) nameIsotherms(labels, view, this.lines, show === 'temperature' ? '°' : '');
  }

  #followView() {
    if (this.state.get('view') === this.ownView) return;
    const [x, y, zoom] = this.state.get('view').split(',').map(Number);
    if (Number.isFinite(zoom)) this.view.look([x, y], zoom);
    else if (this.view.zoom !== 1) this.view.fit();
  }

  #keepView() {
    const { box } = this.plan, [x, y] = this.view.centre, { zoom } = this.view;
    const isWhole = Math.abs(zoom - 1) < 1e-3 && Math.hypot(x - (box.minX + box.maxX) / 2, y - (box.minY + box.maxY) / 2) * this.view.scale < 1;
    this.ownView = isWhole ? '' : `${x.toFixed(2)},${y.toFixed(2)},${zoom.toFixed(3)}`;
    this.state.set({ view: this.ownView });
  }
}

/** What 98 of 100 of the places above zero stay below: single cells would take the whole scale. */
function upperEnd(values) {
  const above = Float32Array.from(values).filter((value) => value > 0).sort();
  return above.length > 0 ? above[Math.floor(0.98 * (above.length - 1))] : 1;
}

/** A colour for each owner: steps of the golden angle keep neighbours in the list apart. A lit net takes the colour of copper, all others fade. */
function netColours(nets, lit) {
  const colours = new Uint32Array(Math.min(32768, nets + 2));
  colours[0] = packed([228, 224, 214]);
  colours[1] = packed([150, 150, 150]);
  for (let net = 0; net + 2 < colours.length; net++) {
    const hue = (net * 137.508) % 360;
    colours[net + 2] = lit < 0 ? packed(fromHue(hue)) : packed(net + 2 === lit ? [190, 96, 32] : [190, 186, 178]);
  }
  return colours;
}

/** @param {number} colour 0xAABBGGRR */
const cssOf = (colour) => `rgb(${colour & 255} ${(colour >> 8) & 255} ${(colour >> 16) & 255})`;

function fromHue(hue) {
  const channel = (shift) => 150 + 62 * Math.cos(((hue - shift) * Math.PI) / 180);
  return [channel(0), channel(120), channel(240)];
}
