// Faults of a posted document, each at its place in the text and, where it has one, on the drawing; the two are linked both ways.

import { fill, h, seen } from './dom.js';
import { FaultDrawing } from './faultdrawing.js';
import { lineOf, placesIn } from './jsonplaces.js';

const linesAround = 2, mostShown = 40;

/**
 * @param {HTMLElement} place @param {any} fault A Refusal.
 * @param {string} text As posted. @param {{prefix?: string, layout?: any}} [how] Where in the text the pointers begin; the layout, as far as it can be read.
 */
export function showDocumentFaults(place, fault, text, { prefix = '', layout = null } = {}) {
  const lines = text.split('\n'), errors = (fault.errors ?? []).slice(0, mostShown), places = placesIn(text, errors.map(({ pointer }) => prefix + pointer));
  const choose = (index) => {
    items.forEach((item, i) => {
      item.classList.toggle('chosen', i === index);
      item.querySelector('button')?.setAttribute('aria-pressed', String(i === index));
    });
    drawing.choose(index);
    seen(list, items[index]);
  };
  const drawing = new FaultDrawing(layout, errors, choose);
  const items = errors.map(({ pointer, detail }, i) => {
    const [start, end] = places.get(prefix + pointer) ?? [0, 1], at = lineOf(text, start), stop = lineOf(text, Math.min(end, start + 4000)), told = `Line ${at.line}, column ${at.column}`;
    return h('li', { 'data-fault': i }, h('span', { class: 'no' }, String(i + 1)),
      h('div', {}, drawing.has(i) ? h('button', { type: 'button', class: 'plain', 'aria-pressed': 'false', title: 'Show it on the drawing', onclick: () => choose(i) }, told) : h('strong', {}, told), ' ', h('code', {}, prefix + pointer || '/')),
      h('div', {}, detail), excerpt(lines, at, stop));
  });
  const list = h('ol', { class: 'faults scroll', tabindex: '0', 'aria-label': 'Faults' }, ...items), more = (fault.errors ?? []).length - errors.length;
  fill(place, h('div', { class: 'fault', role: 'alert' }, h('strong', {}, errors.length > 0 ? `${fault.errors.length} ${fault.errors.length === 1 ? 'fault' : 'faults'} in the document` : fault.message)),
    errors.length > 0 ? h('div', { class: 'columns' }, h('div', {}, list, more > 0 ? h('p', { class: 'quiet' }, `${more} more.`) : null), drawing.layout ? drawing.element : null) : null);
}

function excerpt(lines, at, stop) {
  const first = Math.max(1, at.line - linesAround), last = Math.min(lines.length, Math.min(stop.line, at.line + 3) + linesAround), rows = [];
  for (let line = first; line <= last; line++) {
    const isMarked = line >= at.line && line <= stop.line, whole = lines[line - 1], cut = isMarked && line === at.line && at.column > 300 ? at.column - 40 : 0, text = whole.slice(cut, cut + 400);
    const from = line === at.line ? at.column - 1 - cut : 0, to = line === stop.line ? Math.max(0, stop.column - 1 - cut) : text.length;
    rows.push(h('span', { class: isMarked ? 'marked' : null }, h('span', { class: 'ln' }, `${String(line).padStart(5)}  ${cut > 0 ? '… ' : ''}`), ...(isMarked ? [text.slice(0, from), h('mark', {}, text.slice(from, to) || ' '), text.slice(to)] : [text]), '\n'));
  }
  const source = h('pre', { class: 'source', tabindex: '0' }, ...rows);
  requestAnimationFrame(() => (source.scrollLeft = Math.max(0, (source.querySelector('mark')?.offsetLeft ?? 0) - source.clientWidth / 3)));
  return source;
}
