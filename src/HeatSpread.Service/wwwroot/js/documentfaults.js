// Faults of a posted document, each at its place in the text.

import { fill, h } from './dom.js';
import { lineOf, placesIn } from './jsonplaces.js';

const linesAround = 2, mostShown = 40;

/** @param {HTMLElement} place @param {any} fault A Refusal. @param {string} text As posted. */
export function showDocumentFaults(place, fault, text) {
  const lines = text.split('\n'), errors = fault.errors ?? [], places = placesIn(text, errors.map(({ pointer }) => pointer));
  const list = errors.slice(0, mostShown).map(({ pointer, detail }) => {
    const [start, end] = places.get(pointer) ?? [0, 1], at = lineOf(text, start), stop = lineOf(text, Math.min(end, start + 4000));
    return h('li', {}, h('strong', {}, `Line ${at.line}, column ${at.column}`), ' ', h('code', {}, pointer || '/'), h('div', {}, detail), excerpt(lines, at, stop));
  });
  fill(place, h('div', { class: 'fault', role: 'alert' }, h('strong', {}, errors.length > 0 ? `${errors.length} ${errors.length === 1 ? 'fault' : 'faults'} in the document` : fault.message), h('ol', {}, ...list),
    errors.length > mostShown ? h('p', {}, `${errors.length - mostShown} more.`) : null));
}

function excerpt(lines, at, stop) {
  const first = Math.max(1, at.line - linesAround), last = Math.min(lines.length, Math.min(stop.line, at.line + 3) + linesAround), rows = [];
  for (let line = first; line <= last; line++) {
    const text = lines[line - 1].slice(0, 400), isMarked = line >= at.line && line <= stop.line;
    const from = line === at.line ? at.column - 1 : 0, to = line === stop.line ? stop.column - 1 : text.length;
    rows.push(h('span', { class: 'ln' }, `${String(line).padStart(5)}  `), ...(isMarked ? [text.slice(0, from), h('mark', {}, text.slice(from, to) || ' '), text.slice(to)] : [text]), '\n');
  }
  return h('pre', { class: 'source', tabindex: '0' }, ...rows);
}
