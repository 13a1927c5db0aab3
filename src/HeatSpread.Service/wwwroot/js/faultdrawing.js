// The faults of a layout marked on a drawing of what can be drawn of it.

import { h } from './dom.js';
import { copperNames, drawable, geometryAt } from './faultplaces.js';
import { drawLayout } from './layoutdrawing.js';
import { boxOf } from './plan.js';

/** Share of the board's extent by which the drawing goes beyond it for a fault that lies outside; what lies farther is marked at the rim. */
const mostBeyond = 0.35, rim = 0.04;

export class FaultDrawing {
  /**
   * @param {any} layout As posted. @param {{pointer: string, detail: string}[]} faults
   * @param {(index: number) => void} choose A mark was chosen.
   */
  constructor(layout, faults, choose) {
    this.layout = drawable(layout);
    /** Of each fault its geometry, or null. @type {(import('./faultplaces.js').Place|null)[]} */
    this.places = this.layout ? faults.map(({ pointer }) => geometryAt(layout, pointer)) : faults.map(() => null);
    if (!this.places.some(Boolean)) this.layout = null;
    if (!this.layout) return;
    this.layers = copperNames(this.layout);
    this.layer = this.layers[0] ?? '';
    this.chosen = -1;
    this.box = this.#box();
    this.canvas = h('canvas', { class: 'drawing', role: 'img' });
    this.marks = this.places.map((place, i) => place && h('button', { type: 'button', class: 'mark', 'aria-pressed': 'false', 'aria-label': `Fault ${i + 1}: ${faults[i].detail}`, title: faults[i].detail, onclick: () => choose(i) }, String(i + 1)));
    this.picks = this.layers.map((name) => h('button', { type: 'button', 'aria-pressed': 'false', onclick: () => this.#turnTo(name) }, name));
    this.element = h('div', { class: 'faultmap' }, h('div', { class: 'buttons', role: 'group', 'aria-label': 'Layer of the drawing' }, ...this.picks), h('div', { class: 'plate' }, this.canvas, ...this.marks));
    new ResizeObserver(() => this.#draw()).observe(this.canvas);
  }

  /** @param {number} index Of a fault. @returns {boolean} */
  has(index) {
    return Boolean(this.layout && this.places[index]);
  }

  /** Makes a fault stand out, on its layer. @param {number} index */
  choose(index) {
    if (!this.layout) return;
    this.chosen = index;
    this.marks.forEach((mark, i) => mark?.setAttribute('aria-pressed', String(i === index)));
    this.#turnTo(this.places[index]?.layer ?? this.layer);
  }

  #turnTo(layer) {
    this.layer = layer;
    this.#draw();
  }

  #box() {
    const board = boxOf([this.layout.points]), all = boxOf([this.layout.points, ...this.places.flatMap((place) => place?.lines ?? [])]), extent = Math.max(board.maxX - board.minX, board.maxY - board.minY);
    const beyond = (far) => (far > 0 ? Math.min(far + rim * extent, mostBeyond * extent) : 0);
    return { minX: board.minX - beyond(board.minX - all.minX), minY: board.minY - beyond(board.minY - all.minY), maxX: board.maxX + beyond(all.maxX - board.maxX), maxY: board.maxY + beyond(all.maxY - board.maxY) };
  }

  #draw() {
    const { box } = this, board = boxOf([this.layout.points]), edge = (rim / 2) * (box.maxX - box.minX);
    const within = (value, low, high, lowest, highest) => Math.min(Math.max(high, highest - edge), Math.max(Math.min(low, lowest + edge), value));
    const inside = ([x, y]) => [within(x, board.minX, board.maxX, box.minX, box.maxX), within(y, board.minY, board.maxY, box.minY, box.maxY)];
    const marked = this.places.map((place, i) => place && { lines: place.lines.map((line) => line.map(inside)), isChosen: i === this.chosen });
    const shareOf = drawLayout(this.canvas, this.layout, this.layer, { box, marked: marked.filter(Boolean) }), taken = [];
    this.canvas.setAttribute('aria-label', `Copper of ${this.layer} with ${marked.filter(Boolean).length} places of faults`);
    this.picks.forEach((pick, i) => pick.setAttribute('aria-pressed', String(this.layers[i] === this.layer)));
    marked.forEach((each, i) => {
      if (!each) return;
      const { minX, minY, maxX, maxY } = boxOf(each.lines);
      let [left, top] = shareOf([(minX + maxX) / 2, (minY + maxY) / 2]);
      while (taken.some(([x, y]) => Math.abs(x - left) < 0.045 && Math.abs(y - top) < 0.06)) left += 0.05; // numbers beside each other, not over each other
      taken.push([left, top]);
      Object.assign(this.marks[i].style, { left: `${(100 * Math.min(0.97, left)).toFixed(2)}%`, top: `${(100 * top).toFixed(2)}%` });
    });
  }
}
