// Line charts with values under the pointer and by keys, bands, marks, and their numbers as CSV.

import { download, h } from './dom.js';
import { niceLevels } from './isotherms.js';

/**
 * @typedef {{name: string, points: number[][], band?: number[][], dashed?: boolean}} Series Points [x, y]; a band has [x, low, high]. y may be null where there is no value.
 * @typedef {{title: string, x: string, y: string, series: Series[], lines?: {y: number, name: string}[], file: string, pointed?: (x: number|null) => void}} Chart
 */

const height = 240, left = 52, right = 14, top = 12, bottom = 42;

/** @param {Chart} chart @returns {HTMLElement} */
export function chart({ title, x, y, series, lines = [], file, pointed }) {
  const host = h('figure', { class: 'chart' }), plot = h('div', { class: 'plot', tabindex: '0', role: 'group', 'aria-label': `${title}. Left and right arrows read the values.` });
  const said = h('output', { class: 'said', 'aria-live': 'polite' }, ' ');
  const xs = [...new Set(series.flatMap(({ points, band = [] }) => [...points, ...band].map(([at]) => at)))].sort((a, b) => a - b);
  let chosen = -1;
  const draw = () => plot.replaceChildren(picture({ title, x, y, series, lines, width: Math.max(240, plot.clientWidth), at: chosen < 0 ? null : xs[chosen] }));
  const choose = (index) => {
    chosen = Math.min(xs.length - 1, Math.max(-1, index));
    said.textContent = chosen < 0 ? ' ' : reading(x, y, series, xs[chosen]);
    pointed?.(chosen < 0 ? null : xs[chosen]);
    draw();
  };
  plot.addEventListener('pointermove', (event) => {
    const box = plot.getBoundingClientRect(), [low, high] = [xs[0], xs.at(-1) ?? 1], width = Math.max(240, plot.clientWidth);
    const at = low + ((event.clientX - box.left - left) / (width - left - right)) * (high - low);
    choose(xs.reduce((best, value, i) => (Math.abs(value - at) < Math.abs(xs[best] - at) ? i : best), 0));
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
  host.append(h('figcaption', {}, h('span', {}, title), h('button', { type: 'button', class: 'plain', onclick: () => download(file, csv(x, y, series, xs)) }, 'CSV')), plot, keyOf(series), said);
  return host;
}

const keyOf = (series) => h('ul', { class: 'key' }, ...series.map(({ name }, i) => h('li', { class: `series${i % 6}` }, name)));

const valueAt = ({ points }, at) => points.find(([x]) => x === at)?.[1];

function reading(x, y, series, at) {
  const values = series.map((each) => {
    const value = valueAt(each, at), band = each.band?.find(([where]) => where === at);
    return Number.isFinite(value) ? `${each.name} ${Number(value.toPrecision(5))}${band ? ` (${Number(band[1].toPrecision(4))} to ${Number(band[2].toPrecision(4))})` : ''}` : null;
  });
  return `${x}: ${Number(at.toPrecision(5))}. ${y}: ${values.filter(Boolean).join(', ')}`;
}

function csv(x, y, series, xs) {
  const quoted = (text) => `"${text.replaceAll('"', '""')}"`;
  const columns = series.flatMap((each) => [{ name: `${each.name}, ${y}`, value: (at) => valueAt(each, at) },
    ...(each.band ? [1, 2].map((end) => ({ name: `${each.name}, ${end === 1 ? 'low' : 'high'}`, value: (at) => each.band?.find(([where]) => where === at)?.[end] })) : [])]);
  return [[x, ...columns.map(({ name }) => name)].map(quoted).join(','), ...xs.map((at) => [at, ...columns.map(({ value }) => value(at) ?? '')].join(','))].join('\n') + '\n';
}

function picture({ title, x, y, series, lines, width, at }) {
  const all = series.flatMap(({ points, band = [] }) => [...points, ...band.flatMap(([place, low, high]) => [[place, low], [place, high]])]).filter(([, value]) => Number.isFinite(value));
  const xLow = Math.min(...all.map(([a]) => a)), xHigh = Math.max(...all.map(([a]) => a));
  const values = [...all.map(([, b]) => b), ...lines.map((line) => line.y)], spare = (Math.max(...values) - Math.min(...values) || 1) * 0.06;
  const yLow = Math.min(...values) - spare, yHigh = Math.max(...values) + spare;
  const px = (value) => left + ((value - xLow) / (xHigh - xLow || 1)) * (width - left - right), py = (value) => top + ((yHigh - value) / (yHigh - yLow || 1)) * (height - top - bottom);
  const s = (tagName, attributes, ...children) => h(tagName, { svg: true, ...attributes }, ...children);
  const text = (value) => String(value).replace('-', '\u2212');
  const svg = s('svg', { width, height, viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': title });
  for (const level of niceLevels(yLow, yHigh, 5)) svg.append(s('line', { class: 'grid', x1: left, x2: width - right, y1: py(level), y2: py(level) }), s('text', { x: left - 6, y: py(level) + 4, 'text-anchor': 'end' }, text(level)));
  for (const level of niceLevels(xLow, xHigh, Math.max(2, (width - left) / 80))) svg.append(s('line', { class: 'grid', x1: px(level), x2: px(level), y1: top, y2: height - bottom }), s('text', { x: px(level), y: height - bottom + 15, 'text-anchor': 'middle' }, text(level)));
  svg.append(s('text', { class: 'axis', x: (left + width - right) / 2, y: height - 6, 'text-anchor': 'middle' }, x), s('text', { class: 'axis', x: 12, y: (top + height - bottom) / 2, transform: `rotate(-90 12 ${(top + height - bottom) / 2})`, 'text-anchor': 'middle' }, y));
  for (const line of lines) svg.append(s('line', { class: 'limit', x1: left, x2: width - right, y1: py(line.y), y2: py(line.y) }), s('text', { class: 'axis', x: width - right, y: py(line.y) - 4, 'text-anchor': 'end' }, line.name));
  series.forEach(({ points, band, dashed }, i) => {
    if (band) svg.append(s('path', { class: `band series${i % 6}`, d: `M${[...band.map(([a, , high]) => `${px(a)},${py(high)}`), ...[...band].reverse().map(([a, low]) => `${px(a)},${py(low)}`)].join('L')}Z` }));
    svg.append(s('path', { class: `line series${i % 6}`, 'stroke-dasharray': dashed ? '5 4' : null, d: broken(points, px, py) }));
    if (points.length <= 24) for (const [a, b] of points) if (Number.isFinite(b)) svg.append(s('circle', { class: `series${i % 6}`, cx: px(a), cy: py(b), r: 3 }));
  });
  if (at !== null) {
    svg.append(s('line', { class: 'pointer', x1: px(at), x2: px(at), y1: top, y2: height - bottom }));
    series.forEach((each, i) => {
      const value = valueAt(each, at);
      if (Number.isFinite(value)) svg.append(s('circle', { class: `series${i % 6}`, cx: px(at), cy: py(value), r: 4.5 }));
    });
  }
  return svg;
}

/** A line that is broken where there is no value. */
function broken(points, px, py) {
  let pen = 'M';
  return points.map(([a, b]) => {
    if (!Number.isFinite(b)) {
      pen = 'M';
      return '';
    }
    const piece = `${pen}${px(a).toFixed(1)},${py(b).toFixed(1)}`;
    pen = 'L';
    return piece;
  }).join('');
}
