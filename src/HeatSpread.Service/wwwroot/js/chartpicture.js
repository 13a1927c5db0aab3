// The picture of a line chart: axes, lines, bands, marks.

import { valueAt } from './chart.js';
import { h } from './dom.js';
import { niceLevels } from './isotherms.js';

const height = 260, left = 54, right = 14, top = 14, bottom = 44;

const s = (tagName, attributes, ...children) => h(tagName, { svg: true, ...attributes }, ...children);
const written = (value) => String(value).replace('-', '\u2212');

/** Where the axes begin and end. @param {import('./chart.js').Chart} shown */
export function extent({ series, lines = [], logY, within }) {
  const all = series.flatMap(({ points, band = [], bars }) => [...points.flatMap(([x, y], i) => (bars ? [[x, y - bars[i]], [x, y + bars[i]]] : [[x, y]])), ...band.flatMap(([x, low, high]) => [[x, low], [x, high]])]).filter(([, y]) => Number.isFinite(y) && (!logY || y > 0));
  const ys = [...all.map(([, y]) => y), ...lines.map(({ y }) => y), ...(within ?? [])], low = Math.min(...ys), high = Math.max(...ys), spare = (high - low || 1) * 0.06;
  return { xLow: Math.min(...all.map(([x]) => x)), xHigh: Math.max(...all.map(([x]) => x)), yLow: logY ? low / 1.15 : low - spare, yHigh: logY ? high * 1.15 : high + spare };
}

const along = (isLog, low, high) => (isLog ? (value) => Math.log(value / low) / (Math.log(high / low) || 1) : (value) => (value - low) / (high - low || 1));

/** From x to pixels. @param {import('./chart.js').Chart} shown @param {{xLow: number, xHigh: number}} ends @param {number} width */
export function placeX({ logX }, { xLow, xHigh }, width) {
  const share = along(logX, xLow, xHigh);
  return (value) => left + share(value) * (width - left - right);
}

/** Powers of ten, with their 2 and 5 where there are few. */
function decades(low, high) {
  const from = Math.floor(Math.log10(low)), to = Math.ceil(Math.log10(high)), steps = to - from > 4 ? [1] : to - from > 2 ? [1, 3] : [1, 2, 5];
  return Array.from({ length: to - from + 1 }, (_, i) => steps.map((step) => Number((step * 10 ** (from + i)).toPrecision(6)))).flat().filter((value) => value >= low * 0.999 && value <= high * 1.001);
}

/** @param {import('./chart.js').Chart} shown @param {number} width Pixels. @param {number|null} at That is read. */
export function picture(shown, width, at) {
  const { title, series, lines = [], logX, logY } = shown, ends = extent(shown), px = placeX(shown, ends, width), share = along(logY, ends.yLow, ends.yHigh), py = (value) => top + (1 - share(value)) * (height - top - bottom);
  const svg = s('svg', { width, height, viewBox: `0 0 ${width} ${height}`, role: 'img', 'aria-label': title });
  axes(svg, shown, ends, px, py, width, logX ? decades(ends.xLow, ends.xHigh) : niceLevels(ends.xLow, ends.xHigh, Math.max(2, (width - left) / 80)), logY ? decades(ends.yLow, ends.yHigh) : niceLevels(ends.yLow, ends.yHigh, 5));
  for (const { y, quiet } of lines) svg.append(s('line', { class: quiet ? 'guide' : 'limit', x1: left, x2: width - right, y1: py(y), y2: py(y) }));
  let colour = 0;
  for (const each of series) {
    const points = logY ? each.points.filter(([, y]) => y > 0) : each.points;
    if (each.guide) svg.append(s('path', { class: 'guide', d: broken(points, px, py) }));
    else drawSeries(svg, { ...each, points }, `series${colour++ % 6}`, px, py);
  }
  for (const { y, name } of lines) svg.append(s('text', { class: 'axis over', x: left + 6, y: py(y) - 4 }, name));
  if (at !== null) drawReading(svg, series, at, px, py);
  return svg;
}

function axes(svg, { x, y, sayX }, { yLow }, px, py, width, across, up) {
  for (const level of up) svg.append(s('line', { class: 'grid', x1: left, x2: width - right, y1: py(level), y2: py(level) }), s('text', { x: left - 6, y: py(level) + 4, 'text-anchor': 'end' }, written(level)));
  for (const level of across) svg.append(s('line', { class: 'grid', x1: px(level), x2: px(level), y1: top, y2: height - bottom }), s('text', { x: px(level), y: height - bottom + 15, 'text-anchor': 'middle' }, sayX ? sayX(level) : written(level)));
  svg.append(s('line', { class: 'base', x1: left, x2: width - right, y1: py(yLow), y2: py(yLow) }));
  svg.append(s('text', { class: 'axis', x: (left + width - right) / 2, y: height - 7, 'text-anchor': 'middle' }, x), s('text', { class: 'axis', x: 12, y: (top + height - bottom) / 2, transform: `rotate(-90 12 ${(top + height - bottom) / 2})`, 'text-anchor': 'middle' }, y));
}

function drawSeries(svg, { points, band, bars, dashed }, name, px, py) {
  if (band) svg.append(s('path', { class: `band ${name}`, d: `M${[...band.map(([a, , high]) => `${px(a)},${py(high)}`), ...[...band].reverse().map(([a, low]) => `${px(a)},${py(low)}`)].join('L')}Z` }));
  if (bars) points.forEach(([a, b], i) => svg.append(s('path', { class: `line ${name}`, d: `M${px(a)},${py(b - bars[i])}V${py(b + bars[i])}M${px(a) - 3},${py(b - bars[i])}h6M${px(a) - 3},${py(b + bars[i])}h6` })));
  else svg.append(s('path', { class: `line ${name}`, 'stroke-dasharray': dashed ? '5 4' : null, d: broken(points, px, py) }));
  if (bars || points.length <= 24) for (const [a, b] of points) if (Number.isFinite(b)) svg.append(s('circle', { class: name, cx: px(a), cy: py(b), r: bars ? 3.5 : 3 }));
}

function drawReading(svg, series, at, px, py) {
  svg.append(s('line', { class: 'pointer', x1: px(at), x2: px(at), y1: top, y2: height - bottom }));
  series.filter(({ guide }) => !guide).forEach((each, i) => {
    const value = valueAt(each, at);
    if (Number.isFinite(value)) svg.append(s('circle', { class: `series${i % 6}`, cx: px(at), cy: py(value), r: 4.5 }));
  });
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
