// Temperatures along a line that was drawn on the map.

import { chart } from './chart.js';
import { fill, h } from './dom.js';

const places = 160;

/**
 * @param {HTMLElement} place @param {number[]} line x1, y1, x2, y2, mm
 * @param {{name: string, field: import('./field.js').Field}[]} layers
 * @param {{pointed: (share: number|null) => void, moved: (line: number[]) => void, closed: () => void}} acts
 */
export function showProfile(place, line, layers, { pointed, moved, closed }) {
  const [x1, y1, x2, y2] = line, length = Math.hypot(x2 - x1, y2 - y1);
  const series = layers.map(({ name, field }) => ({ name, points: Array.from({ length: places + 1 }, (_, i) => {
    const share = i / places, value = field.between(x1 + (x2 - x1) * share, y1 + (y2 - y1) * share);
    return [Number((share * length).toFixed(4)), Number.isNaN(value) ? null : value];
  }) }));
  const end = (index, name) => h('label', { class: 'number' }, h('span', {}, name), h('input', { type: 'number', step: 'any', value: Number(line[index].toFixed(2)), 'aria-label': `${name} of the line, mm`, onchange: (event) => {
    const next = [...line];
    next[index] = Number(event.target.value);
    if (event.target.value !== '' && next.every(Number.isFinite)) moved(next);
  } }));
  fill(place, chart({ title: `From A to B, ${length.toFixed(1)} mm`, x: 'Along the line, mm', y: 'Temperature, °C', series, file: 'profile.csv', pointed: (at) => pointed(at === null ? null : at / Math.max(1e-9, length)) }),
    h('div', { class: 'ends' }, end(0, 'A x'), end(1, 'A y'), end(2, 'B x'), end(3, 'B y'), h('button', { type: 'button', onclick: closed }, 'Close the profile')));
}
