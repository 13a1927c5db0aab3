// A table of numbers with its CSV.

import { csvOf } from './chart.js';
import { download, h } from './dom.js';

/**
 * @param {{caption: string, head: string[], rows: any[][], file: string, say: (value: any, column: number, row: any[]) => any, isFault?: (row: any[], column: number) => boolean}} shown
 * `say` gives what stands in a cell, a text or an element; a row begins with its name. A column without a head is for the eye alone.
 */
export function sideTable({ caption, head, rows, file, say, isFault = () => false }) {
  return h('div', { class: 'sidetable' }, h('div', { class: 'bar-line' }, h('h3', {}, caption), h('button', { type: 'button', class: 'plain', onclick: () => download(file, csvOf(...told(head, rows))) }, 'CSV')),
    h('div', { class: 'wide', tabindex: '0', role: 'group', 'aria-label': caption }, h('table', {},
      h('thead', {}, h('tr', {}, ...head.map((text, column) => h('th', { scope: 'col', class: column > 0 ? 'n' : null }, text)))),
      h('tbody', {}, ...rows.map((row) => h('tr', {}, ...row.map((value, column) => h(column === 0 ? 'th' : 'td', { scope: column === 0 ? 'row' : null, class: [column > 0 ? 'n' : '', isFault(row, column) ? 'fail' : ''].join(' ').trim() || null }, say(value, column, row)))))))));
}

const told = (head, rows) => [head.filter(Boolean), rows.map((row) => row.filter((_, column) => head[column]))];
