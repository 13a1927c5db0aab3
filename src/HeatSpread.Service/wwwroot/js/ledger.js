// Where a difference comes from: for each part, changes that add up to it.

import { fill, h } from './dom.js';
import { kelvin, kindName } from './words.js';

/**
 * @param {HTMLElement} place @param {any} candidate
 * @param {{part: string, entry: number, choosePart: (part: string) => void, chooseEntry: (index: number) => void}} shown
 */
export function showLedger(place, candidate, { part, entry, choosePart, chooseEntry }) {
  const ledger = candidate.ledger.find((each) => each.part === part);
  if (!ledger) return fill(place, h('p', { class: 'quiet' }, 'No part of both boards makes heat or has a limit.'));
  const most = Math.max(1e-9, ...ledger.entries.map(({ kelvin: each }) => Math.abs(each)));
  fill(place,
    h('label', { class: 'field' }, h('span', {}, 'Part'), h('select', { onchange: (event) => choosePart(event.target.value) }, ...candidate.ledger.map((each) => h('option', { value: each.part, selected: each.part === part }, `${each.part}, ${kelvin(each.deltaKelvin, true)}`)))),
    h('ol', { class: 'ledger' }, ...ledger.entries.map((each, index) => h('li', { class: index === entry ? 'chosen' : null },
      h('button', { type: 'button', class: 'plain finding', 'aria-pressed': index === entry, 'data-entry': index, onclick: () => chooseEntry(index === entry ? -1 : index) },
        h('span', { class: 'no' }, String(index + 1)), h('span', { class: 'kind' }, kindName(each.kind), each.net ? ` · ${each.net}` : null), h('span', { class: 'gain' }, kelvin(each.kelvin, true)),
        h('span', { class: 'text' }, each.text, h('svg', { svg: true, class: 'bar', viewBox: '0 0 100 4', preserveAspectRatio: 'none', 'aria-hidden': 'true' }, h('rect', { svg: true, class: each.kelvin < 0 ? 'cooler' : 'gone', width: ((100 * Math.abs(each.kelvin)) / most).toFixed(1), height: 4 }))))))),
    h('p', {}, h('strong', {}, `Together ${kelvin(ledger.entries.reduce((sum, each) => sum + each.kelvin, 0), true)}`), `; ${ledger.part} changed by ${kelvin(ledger.deltaKelvin, true)}.`));
}
