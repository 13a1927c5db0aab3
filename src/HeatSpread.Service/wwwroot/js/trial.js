// Other watts and other air, tried while a person looks. A change of watts alone follows at once from the field that a watt in the part makes;
// then, and for any other change, the service solves once on the same grid.

import { keptArray, post, read } from './api.js';
import { debounce } from './dom.js';
import { Field } from './field.js';

/** Parts whose watts are prepared for. */
const mostBeforehand = 4;

/** @typedef {{peakCelsius: number, parts: any[], layers: {name: string, maxCelsius: number, minCelsius: number, field?: string}[], fields: Map<string, Field>}} Tried */

export class Trials {
  /** @param {any} solution @param {(tried: Tried|null, state: 'estimate'|'solved'|'failed', fault?: Error) => void} told */
  constructor(solution, told) {
    this.solution = solution;
    this.told = told;
    this.solve = debounce(180, () => this.#solve());
    /** @type {Tried|null} */
    this.tried = null;
  }

  /** Solves the board's network once beforehand, and what a watt does to a layer, so that the first change is followed as fast as the next. @param {string} layer That is looked at. */
  warm(layer) {
    const making = this.solution.parts.filter(({ watts }) => watts > 0).map(({ id }) => id);
    this.influence ??= read(`v1/solutions/${this.solution.id}/influence?parts=${encodeURIComponent(making.join(','))}`).catch(() => null);
    this.influence.then(() => Promise.all(making.slice(0, mostBeforehand).map((id) => this.#rise(layer, id)))).catch(() => null);
    return this.influence;
  }

  /** What a watt more in a part does to a layer. */
  #rise(layer, id) {
    return keptArray(`v1/solutions/${this.solution.id}/layers/${encodeURIComponent(layer)}/rise.npy?part=${encodeURIComponent(id)}`);
  }

  /** @param {any} conditions @param {string} layer That is looked at. */
  async ask(conditions, layer) {
    this.asked = conditions;
    this.stop?.abort();
    this.solve();
    const estimate = await this.#estimate(conditions, layer).catch(() => null);
    if (estimate && this.asked === conditions && !(this.tried?.conditions === conditions)) this.told(estimate, 'estimate');
  }

  /** The field of a layer under what was tried last. @param {string} layer @returns {Promise<Field>} */
  async field(layer) {
    const tried = /** @type {Tried} */ (this.tried), known = tried.fields.get(layer);
    if (known) return known;
    const { values } = await keptArray(tried.layers.find(({ name }) => name === layer)?.field ?? '');
    const field = new Field(this.solution.layers[0].grid, /** @type {Float32Array} */ (values));
    tried.fields.set(layer, field);
    return field;
  }

  forget() {
    this.stop?.abort();
    this.asked = this.tried = null;
  }

  async #estimate(conditions, layer) {
    const { solution } = this, same = (value) => JSON.stringify({ ...value, watts: undefined });
    if (same(sorted(conditions)) !== same(sorted(solution.conditions)) || solution.converter) return null;
    const shown = solution.layers.find(({ name }) => name === layer) ?? solution.layers[0], matrix = await this.warm(shown.name);
    const deltas = solution.parts.map(({ id, watts }) => ({ id, watts: (conditions.watts?.[id] ?? watts) - watts })).filter((delta) => delta.watts !== 0);
    const index = new Map((matrix?.parts ?? []).map(({ id }, i) => [id, i]));
    if (!matrix || deltas.some(({ id }) => !index.has(id))) return null;
    const base = await keptArray(`v1/solutions/${solution.id}/layers/${encodeURIComponent(shown.name)}.npy`);
    const rises = await Promise.all(deltas.map(({ id }) => this.#rise(shown.name, id)));
    const field = new Field(shown.grid, /** @type {Float32Array} */ (base.values)).plus(deltas.map(({ watts }, i) => ({ share: watts, of: rises[i].values })));
    const parts = solution.parts.map((part) => {
      const read = index.get(part.id), rise = read === undefined ? 0 : deltas.reduce((sum, { id, watts }) => sum + watts * matrix.kelvinPerWatt[read][index.get(id)], 0);
      return { ...part, watts: conditions.watts?.[part.id] ?? part.watts, maxCelsius: part.maxCelsius + rise, marginKelvin: Number.isFinite(part.limitCelsius) ? part.limitCelsius - part.maxCelsius - rise : part.marginKelvin };
    });
    return { conditions, peakCelsius: field.max, parts, layers: [{ name: shown.name, maxCelsius: field.max, minCelsius: field.min }], fields: new Map([[shown.name, field]]) };
  }

  async #solve() {
    const conditions = this.asked;
    if (!conditions) return;
    this.stop = new AbortController();
    const { signal } = this.stop;
    try {
      await this.influence; // it opens the same network: beside it this would only be slower
      if (signal.aborted) return;
      const answer = await (await post(`v1/solutions/${this.solution.id}/trials`, { conditions }, {}, signal)).json();
      if (this.asked !== conditions) return;
      this.tried = { ...answer, conditions, fields: new Map() };
      this.told(this.tried, 'solved');
    } catch (fault) {
      if (this.asked === conditions && fault.name !== 'AbortError') this.told(null, 'failed', fault);
    }
  }
}

/** Keys in one order, for a comparison. @param {any} value @returns {any} */
const sorted = (value) => (value === null || typeof value !== 'object' || Array.isArray(value) ? value : Object.fromEntries(Object.keys(value).sort().map((key) => [key, sorted(value[key])])));
