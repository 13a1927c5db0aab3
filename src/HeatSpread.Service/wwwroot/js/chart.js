// Line charts with values under the pointer and by keys, and their numbers as CSV.

import { extent, picture, placeX } from './chartpicture.js';
import { download, h } from './dom.js';

/**
 * @typedef {{name: string, points: number[][], band?: number[][], bars?: number[], names?: string[], dashed?: boolean, guide?: boolean}} Series
 * Points [x, y]; a band has [x, low, high]; y may be null where there is no value. `bars`: no line but marks with bars of ± so much, each with its of `names`. `guide`: a thin line that is not read.
 * @typedef {{title: string, x: string, y: string, series: Series[], lines?: {y: number, name: string, quiet?: boolean}[], file: string, pointed?: (x: number|null) => void, logX?: boolean, logY?: boolean, within?: number[], sayX?: (x: number) => string, text?: string}} Chart
 * `lines` lie across, as a limit does; `logX`, `logY`: logarithmic axes; `within`: values of y that are seen too, so that plots have one scale; `sayX`: words for a value of x; `text`: the CSV, where it is not that of the lines.
 */

/** @param {Chart} chart @returns {HTMLElement} */
export function chart(shown) {
  const { title, x, y, series, file, pointed } = shown;
  const host = h('figure', { class: 'chart' }), plot = h('div', { class: 'plot', tabindex: '0', role: 'group', 'aria-label': `${title}. Left and right arrows read the values.` });
  const said = h('output', { class: 'said', 'aria-live': 'polite' }, ' ');
  const read = series.filter(({ guide }) => !guide), xs = [...new Set(read.flatMap(({ points, band = [] }) => [...points, ...band].map(([at]) => at)))].sort((a, b) => a - b);
  let chosen = -1;
  const width = () => Math.max(240, plot.clientWidth), draw = () => plot.replaceChildren(picture(shown, width(), chosen < 0 ? null : xs[chosen]));
  const choose = (index) => {
    chosen = Math.min(xs.length - 1, Math.max(-1, index));
    said.textContent = chosen < 0 ? ' ' : reading(shown, read, xs[chosen]);
    pointed?.(chosen < 0 ? null : xs[chosen]);
    draw();
  };
  plot.addEventListener('pointermove', (event) => {
    const at = event.clientX - plot.getBoundingClientRect().left, place = placeX(shown, extent(shown), width());
    choose(xs.reduce((best, value, i) => (Math.abs(place(value) - at) < Math.abs(place(xs[best]) - at) ? i : best), 0));
  });
  plot.addEventListener('pointerleave', () => choose(-1));
  plot.addEventListener('keydown', (event) => {
    const steps = { ArrowLeft: -1, ArrowRight: 1, PageUp: -10, PageDown: 10, Home: -xs.length, End: xs.length };
    if (event.key === 'Escape') choose(-1);
    else if (event.key in steps) choose(Math.max(0, (chosen < 0 ? 0 : chosen) + (chosen < 0 && steps[event.key] === 1 ? 0 : steps[event.key])));
    else return;
    event.preventDefault();
  });
  new ResizeObserver(draw).observe(plot);
  host.append(h('figcaption', {}, h('span', {}, title), h('button', { type: 'button', class: 'plain', onclick: () => download(file, shown.text ?? csv(x, y, read, xs)) }, 'CSV')), plot, read.length > 1 ? keyOf(read) : '', said);
  return host;
}

const keyOf = (series) => h('ul', { class: 'key' }, ...series.map(({ name, dashed }, i) => h('li', { class: `series${i % 6}${dashed ? ' dashed' : ''}` }, name)));

/** A series at a place: its value there, or between its two neighbours. @param {Series} series @param {number} at */
export function valueAt({ points, bars }, at) {
  const exact = points.find(([x]) => x === at)?.[1];
  if (exact !== undefined || bars) return exact;
  const next = points.findIndex(([x]) => x > at);
  if (next < 1) return undefined;
  const [[x1, y1], [x2, y2]] = [points[next - 1], points[next]];
  return Number.isFinite(y1) && Number.isFinite(y2) ? y1 + ((y2 - y1) * (at - x1)) / (x2 - x1) : undefined;
}

function reading({ x, y, sayX }, series, at) {
  const values = series.map((each) => {
    const value = valueAt(each, at), band = each.band?.find(([where]) => where === at), bar = each.bars?.[each.points.findIndex(([where]) => where === at)];
    if (!Number.isFinite(value)) return null;
    const name = each.names?.[each.points.findIndex(([where]) => where === at)] ?? each.name;
    return `${name} ${Number(value.toPrecision(5))}${band ? ` (${Number(band[1].toPrecision(4))} to ${Number(band[2].toPrecision(4))})` : ''}${bar ? ` ± ${Number(bar.toPrecision(2))}` : ''}`;
  });
  return `${x}: ${sayX ? sayX(at) : Number(at.toPrecision(5))}. ${y}: ${values.filter(Boolean).join(', ')}`;
}

function csv(x, y, series, xs) {
  const exactly = ({ points }, at) => points.find(([where]) => where === at)?.[1];
  const columns = series.flatMap((each) => [{ name: `${each.name}, ${y}`, value: (at) => exactly(each, at) },
    ...(each.band ? [1, 2].map((end) => ({ name: `${each.name}, ${end === 1 ? 'low' : 'high'}`, value: (at) => each.band?.find(([where]) => where === at)?.[end] })) : [])]);
  return csvOf([x, ...columns.map(({ name }) => name)], xs.map((at) => [at, ...columns.map(({ value }) => value(at) ?? '')]));
}

/** A table as RFC 4180 has it. @param {string[]} head @param {any[][]} rows */
export function csvOf(head, rows) {
  const cell = (value) => (typeof value === 'number' ? String(value) : `"${String(value ?? '').replaceAll('"', '""')}"`);
  return [head, ...rows].map((row) => row.map(cell).join(',')).join('\r\n') + '\r\n';
}
