// The parts with their temperatures and margins, and where the heat of one of them goes.

import { fill, h } from './dom.js';
import { numberInput } from './numberinput.js';
import { celsius, kelvin, number, watts } from './words.js';

/** The table of parts, the most urgent first. Its rows stay while figures change, so that watts can be written in place. */
export class PartTable {
  /**
   * @param {HTMLElement} place
   * @param {{choose: (id: string) => void, watts: (id: string, value: number) => void, touched: () => void, isFixed: (id: string) => boolean}} acts `isFixed`: its watts follow from something else.
   */
  constructor(place, acts) {
    this.acts = acts;
    this.rows = new Map();
    this.body = h('tbody', { onfocusin: (event) => event.target.matches('input') && acts.touched() });
    fill(place, h('table', { class: 'parts' }, h('thead', {}, h('tr', {}, ...['Part', 'Watts', '°C', 'Margin to its limit'].map((text, i) => h('th', { scope: 'col', class: i === 1 || i === 2 ? 'n' : null }, text)))), this.body));
  }

  /** @param {{parts: any[], before: Map<string, any>|null, ambient: number, selected: string}} shown `before`: the solution's, where a trial is shown. */
  show({ parts, before, ambient, selected }) {
    const hottest = Math.max(...parts.map((part) => part.maxCelsius), ambient + 1);
    for (const part of parts) this.#row(part).show(part, before?.get(part.id), ambient, hottest, part.id === selected);
    if (this.body.contains(document.activeElement) && document.activeElement?.matches('input')) return; // no row moves away under the hand that writes in it
    const order = [...parts].sort((a, b) => urgency(b) - urgency(a)).map(({ id }) => this.rows.get(id).element);
    if (order.some((element, i) => element !== this.body.children[i])) this.body.replaceChildren(...order);
  }

  #row(part) {
    if (!this.rows.has(part.id)) this.rows.set(part.id, new PartRow(part, this.acts));
    return this.rows.get(part.id);
  }
}

const urgency = ({ marginKelvin, maxCelsius, watts: made }) => (made > 0 ? 10_000 : 0) + (Number.isFinite(marginKelvin) ? 1000 - marginKelvin : 0) + maxCelsius / 1000;

class PartRow {
  constructor({ id, watts: made }, { choose, watts: change, isFixed }) {
    this.button = h('button', { type: 'button', class: 'plain', 'aria-pressed': 'false', onclick: () => choose(this.isSelected ? '' : id) }, id);
    this.input = isFixed(id) ? null : numberInput({ name: `${id}, W`, value: made, step: 0.1, min: 0, bare: true, changed: (value) => change(id, value) });
    [this.watts, this.celsius, this.margin] = [h('td', { class: 'n' }, this.input), h('td', { class: 'n' }), h('td')];
    this.element = h('tr', { 'data-part': id }, h('th', { scope: 'row' }, this.button), this.watts, this.celsius, this.margin);
  }

  show(part, before, ambient, hottest, isSelected) {
    const change = before ? part.maxCelsius - before.maxCelsius : 0;
    this.isSelected = isSelected;
    this.element.classList.toggle('chosen', isSelected);
    this.button.setAttribute('aria-pressed', String(isSelected));
    if (!this.input) this.watts.textContent = number(part.watts, 2);
    else if (document.activeElement !== this.input) this.input.value = String(Number(part.watts.toPrecision(6)));
    fill(this.celsius, number(part.maxCelsius), Math.abs(change) >= 0.05 ? h('span', { class: 'change' }, ` ${kelvin(change, true)}`) : null);
    fill(this.margin, marginBar(part, ambient, hottest));
  }
}

/** How much of the way from the ambient to its limit a part has gone. */
function marginBar({ maxCelsius, limitCelsius, marginKelvin }, ambient, hottest) {
  const hasLimit = Number.isFinite(limitCelsius), share = (maxCelsius - ambient) / Math.max(1e-9, (hasLimit ? limitCelsius : hottest) - ambient);
  const text = !hasLimit ? 'no limit' : marginKelvin < 0 ? `${kelvin(-marginKelvin)} over` : `${kelvin(marginKelvin)} left`;
  const bar = h('svg', { svg: true, class: 'bar', viewBox: '0 0 100 8', preserveAspectRatio: 'none', 'aria-hidden': 'true' },
    h('rect', { svg: true, class: 'way', width: 100, height: 8 }),
    h('rect', { svg: true, class: hasLimit ? (marginKelvin < 0 ? 'over' : share > 0.85 ? 'near' : 'gone') : 'free', width: Math.min(100, Math.max(0, share * 100)).toFixed(1), height: 8 }));
  return h('div', { class: 'margin' }, bar, h('span', { class: hasLimit && marginKelvin < 0 ? 'fail' : 'quiet' }, text));
}

const ways = { vias: 'vias', laminate: 'laminate', face: 'the face at its pads', ambient: 'its own body to the air', shared: 'heat of other parts' };

/** @param {any} path @returns {string} */
export const wayName = (path) => (path.through ? `${path.net ? `${path.net} by ` : ''}${ways[path.through] ?? path.through}` : `${path.net} on ${path.layer}`);

/**
 * @param {HTMLElement} place @param {any} part
 * @param {{light: (net: string|null) => void, benefit: () => void, isBenefit: boolean}} acts
 */
export function showPaths(place, part, { light, benefit, isBenefit }) {
  const paths = [...part.paths].filter((path) => Math.abs(path.watts) > 1e-3 * Math.max(0.01, part.watts)).sort((a, b) => b.watts - a.watts), most = Math.max(1e-9, ...paths.map((path) => Math.abs(path.watts)));
  const nodes = Object.entries(part.nodes);
  fill(place,
    h('p', {}, h('strong', {}, part.id), ` makes ${watts(part.watts)}; ${celsius(part.maxCelsius)} ±\u00a0${number(part.gridErrorKelvin)}\u00a0K by the grid.`,
      nodes.length > 0 ? ` ${nodes.map(([name, value]) => `${name} ${celsius(value)}`).join(', ')}.` : null),
    h('button', { type: 'button', 'aria-pressed': isBenefit, onclick: benefit }, isBenefit ? 'Back to temperatures' : `Where more copper would cool ${part.id}`),
    paths.length === 0 ? h('p', { class: 'quiet' }, 'It makes no heat.') : h('ul', { class: 'paths' }, ...paths.map((path) => h('li', {},
      h('button', { type: 'button', class: 'path plain', onfocus: () => light(path.net), onblur: () => light(null), onpointerenter: () => light(path.net), onpointerleave: () => light(null), onclick: () => light(path.net) },
        h('span', {}, wayName(path)), h('span', { class: 'n' }, `${watts(path.watts)} (${number((100 * path.watts) / Math.max(1e-9, part.watts), 0)}\u00a0%)`),
        h('svg', { svg: true, class: 'bar', viewBox: '0 0 100 4', preserveAspectRatio: 'none', 'aria-hidden': 'true' }, h('rect', { svg: true, class: 'gone', width: ((100 * Math.abs(path.watts)) / most).toFixed(1), height: 4 })))))),
    h('details', {}, h('summary', {}, `${part.terminals.length} terminals`), h('table', {}, h('thead', {}, h('tr', {}, ...['Terminal', '°C', 'into the board'].map((text, i) => h('th', { scope: 'col', class: i > 0 ? 'n' : null }, text)))),
      h('tbody', {}, ...part.terminals.map((terminal) => h('tr', {}, h('th', { scope: 'row' }, terminal.name), h('td', { class: 'n' }, number(terminal.celsius)), h('td', { class: 'n' }, watts(terminal.watts))))))));
}
