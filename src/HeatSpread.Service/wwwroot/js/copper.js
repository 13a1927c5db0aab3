// Whose copper lies where, at the resolution of the screen: a raster of the whole board, and one of the part that is looked at closely.

import { keptArray } from './api.js';

/** @typedef {{minX: number, minY: number, pitchX: number, pitchY: number, columns: number, rows: number, owners: Int16Array}} OwnerRaster Owner 0: no copper, else number of the net + 2 (1: copper of no net). */

const overviewColumns = 1400;

export class Copper {
  /** @param {string} solution @param {string} layer @param {import('./plan.js').Plan} plan @param {() => void} arrived Called when there is more to show. */
  constructor(solution, layer, plan, arrived) {
    this.address = `v1/solutions/${solution}/layers/${encodeURIComponent(layer)}/owners.npy`;
    this.plan = plan;
    this.arrived = arrived;
    /** @type {OwnerRaster|null} */
    this.overview = null;
    /** @type {OwnerRaster|null} */
    this.detail = null;
    this.#load(plan.box, Math.min(overviewColumns, Math.max(200, Math.round(overviewColumns * Math.min(1, (plan.box.maxX - plan.box.minX) / (plan.box.maxY - plan.box.minY)))))).then((raster) => {
      this.overview = raster;
      this.arrived();
    }, () => { /* a map without copper's edges is still a map */ });
  }

  /** Asks for a closer look where the overview is coarser than the screen. @param {import('./plan.js').Box} window mm @param {number} columns Pixels across it. */
  async look(window, columns) {
    const { overview, plan } = this;
    if (!overview) return;
    const box = { minX: Math.max(window.minX, plan.box.minX), minY: Math.max(window.minY, plan.box.minY), maxX: Math.min(window.maxX, plan.box.maxX), maxY: Math.min(window.maxY, plan.box.maxY) };
    const share = (box.maxX - box.minX) / (window.maxX - window.minX), wanted = Math.min(4096, Math.round(columns * share));
    if (!(share > 0) || box.maxY <= box.minY || (box.maxX - box.minX) / wanted > overview.pitchX * 0.8) {
      this.detail = this.looked = null;
      return;
    }
    const looked = JSON.stringify([box, wanted]);
    if (looked === this.looked) return;
    this.looked = looked;
    const token = (this.token = {});
    const raster = await this.#load(box, wanted).catch(() => null);
    if (this.token !== token || !raster) return;
    this.detail = raster;
    this.arrived();
  }

  /** Name of the net whose copper lies at a place; null: none. @param {number} x @param {number} y */
  netAt(x, y) {
    for (const raster of [this.detail, this.overview]) {
      if (!raster) continue;
      const column = Math.floor((x - raster.minX) / raster.pitchX), row = Math.floor((y - raster.minY) / raster.pitchY);
      if (column < 0 || row < 0 || column >= raster.columns || row >= raster.rows) continue;
      const owner = raster.owners[row * raster.columns + column];
      return owner === 0 ? null : owner === 1 ? 'no net' : this.plan.netNames[owner - 2];
    }
    return null;
  }

  async #load(box, columns) {
    const rows = Math.min(4096, Math.max(1, Math.round((columns * (box.maxY - box.minY)) / (box.maxX - box.minX))));
    const edges = [box.minX, box.minY, box.maxX, box.maxY].map((edge) => edge.toFixed(6)).join(',');
    const { values } = await keptArray(`${this.address}?columns=${columns}&box=${edges}`);
    const owners = new Int16Array(columns * rows);
    for (let i = 0; i < values.length; i += 4) owners.fill(Math.min(32767, values[i + 3] + 2), values[i] * columns + values[i + 1], values[i] * columns + values[i + 2]);
    return { minX: box.minX, minY: box.minY, pitchX: (box.maxX - box.minX) / columns, pitchY: (box.maxY - box.minY) / rows, columns, rows, owners };
  }
}
