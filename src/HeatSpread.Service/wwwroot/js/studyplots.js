// The plots of a study, by its kind.

import { chart } from './chart.js';
import { correlation } from './correlationplots.js';
import { h } from './dom.js';
import { sideTable } from './sidetable.js';
import { transient } from './transientplots.js';
import { number } from './words.js';

const mostSeries = 6;

/** @param {any} study @returns {HTMLElement[]} */
export const studyPlots = (study) => ({ sweep, sample, derating, plan, transient, correlation })[study.kind]?.(study) ?? [];

/** Parts that are worth a line: those with a limit first, then the hottest. */
function mainParts(study, points) {
  const hottest = (index) => Math.max(...points.map(({ partCelsius }) => partCelsius[index] ?? -Infinity));
  return study.parts.map(({ id, limitCelsius }, index) => ({ id, limitCelsius, index, hottest: hottest(index) })).sort((a, b) => Number(Number.isFinite(b.limitCelsius)) - Number(Number.isFinite(a.limitCelsius)) || b.hottest - a.hottest).slice(0, mostSeries - 1);
}

const limitsOf = (parts) => [...new Set(parts.map(({ limitCelsius }) => limitCelsius).filter(Number.isFinite))].map((y) => ({ y, name: `limit of ${parts.filter(({ limitCelsius }) => limitCelsius === y).map(({ id }) => id).join(', ')}` }));

/** Every part over the axis with most values, one plot for each setting of the other axes. */
function sweep(study) {
  const points = study.points.filter(({ peak }) => peak);
  if (points.length === 0) return [h('p', { class: 'quiet' }, 'No point is done yet.')];
  const numeric = study.axes.map((axis, index) => ({ ...axis, index })).filter(({ values }) => values.every((value) => typeof value === 'number'));
  const main = numeric.sort((a, b) => b.values.length - a.values.length)[0], parts = mainParts(study, points);
  if (!main) return [table(study, points)];
  const groups = Map.groupBy(points, ({ at }) => at.map((value, i) => (i === main.index ? null : `${study.axes[i].label}: ${value}${study.axes[i].unit ? ` ${study.axes[i].unit}` : ''}`)).filter(Boolean).join(', '));
  const within = [Math.min, Math.max].map((end) => end(...points.flatMap(({ peak, partCelsius }) => [peak.celsius, ...parts.map(({ index }) => partCelsius[index])]).filter(Number.isFinite)));
  const plots = [...groups].map(([others, group]) => {
    const along = [...group].sort((a, b) => a.at[main.index] - b.at[main.index]);
    const series = [{ name: 'Peak', dashed: true, points: along.map(({ at, peak }) => [at[main.index], peak.celsius]) }, ...parts.map(({ id, index }) => ({ name: id, points: along.map(({ at, partCelsius }) => [at[main.index], partCelsius[index] ?? null]) }))];
    return chart({ title: others || `Over ${main.label}`, x: `${main.label}${main.unit ? `, ${main.unit}` : ''}`, y: 'Temperature, °C', series, lines: limitsOf(parts), within, file: 'sweep.csv' });
  });
  return [h('div', { class: 'plots' }, ...plots), table(study, study.points)];
}

function table(study, points) {
  return h('details', {}, h('summary', {}, `All ${points.length} points`), h('div', { class: 'scroll', tabindex: '0', role: 'group', 'aria-label': 'Points of the study' }, h('table', {},
    h('thead', {}, h('tr', {}, ...[...study.axes.map(({ label, unit }) => `${label}${unit ? `, ${unit}` : ''}`), 'Peak, °C', 'Limits', 'How'].map((text) => h('th', { scope: 'col' }, text)))),
    h('tbody', {}, ...points.map((point) => h('tr', {}, ...point.at.map((value) => h('td', {}, typeof value === 'number' ? String(Number(value.toPrecision(5))) : String(value))),
      h('td', {}, point.peak ? number(point.peak.celsius) : point.problem?.detail ?? '–'), h('td', { class: point.pass ? 'pass' : 'fail' }, point.pass ? '✓ kept' : '✗ not kept'), h('td', {}, point.how)))))));
}

/** Bands of each part, and how the sample is distributed. */
function sample(study) {
  const { tolerance } = study, points = study.points.filter(({ peak }) => peak), parts = mainParts(study, points);
  const spread = parts.map(({ id, index }) => {
    const sorted = points.map(({ partCelsius }) => partCelsius[index]).sort((a, b) => a - b);
    return { name: id, points: sorted.map((value, i) => [value, (100 * (i + 1)) / sorted.length]) };
  });
  const plots = points.length > 1 ? [chart({ title: 'Share of the sample that stays below', x: 'Temperature, °C', y: 'Share, %', series: spread, file: 'distribution.csv' })] : [];
  if (!tolerance) return plots;
  return [...tolerance.text.map((text) => h('p', {}, text)), bands(tolerance), ...plots, shares(tolerance)];
}

function bands({ parts, samples }) {
  const low = Math.floor(Math.min(...parts.map(({ p5Celsius }) => p5Celsius))), high = Math.ceil(Math.max(...parts.flatMap(({ p95Celsius, limitCelsius }) => [p95Celsius, limitCelsius ?? p95Celsius])));
  const rows = parts.map((part) => [part.id, part.p5Celsius, part.p50Celsius, part.p95Celsius, part, part.limitCelsius ?? null, part.exceedance ?? null]);
  return sideTable({ caption: `From 5 to 95 of 100, of ${samples} samples`, head: ['Part', '5 %, °C', 'half, °C', '95 %, °C', '', 'limit, °C', 'over it'], rows: rows.map((row) => [...row.slice(0, 6), row[6]?.probability ?? null]), file: 'tolerance.csv',
    say: (value, column, row) => (column === 0 ? value : column === 4 ? band(value, low, high) : column === 6 ? risk(row[4].exceedance) : value === null ? '–' : number(value)), isFault: (row, column) => column === 6 && row[6] > 0.05 });
}

const risk = (exceedance) => (exceedance ? `${number(100 * exceedance.probability, 1)} % (${exceedance.interval95.map((end) => number(100 * end, 1)).join(' to ')})` : '–');

/** From 5 to 95 of 100 with the half between, and the limit. */
function band({ p5Celsius, p50Celsius, p95Celsius, limitCelsius }, low, high) {
  const place = (value) => (100 * (value - low)) / (high - low || 1), rect = (attributes) => h('rect', { svg: true, height: 8, ...attributes });
  return h('svg', { svg: true, class: 'bar', viewBox: '0 0 100 8', preserveAspectRatio: 'none', 'aria-hidden': 'true' }, rect({ class: 'way', width: 100 }), rect({ class: 'gone', x: place(p5Celsius), width: Math.max(0.5, place(p95Celsius) - place(p5Celsius)) }), rect({ class: 'axis', x: place(p50Celsius) - 0.3, width: 0.6 }),
    Number.isFinite(limitCelsius) ? rect({ class: 'over', x: Math.min(99, place(limitCelsius)), width: 1 }) : null);
}

function shares({ parts }) {
  const told = parts.filter(({ inputs, standardDeviationKelvin }) => inputs.length > 0 && standardDeviationKelvin > 0.01).slice(0, mostSeries);
  return h('details', { open: true }, h('summary', {}, 'What the spread comes from'), h('div', { class: 'plots small' }, ...told.map((part) => h('div', {}, h('h3', {}, `${part.id}, ± ${number(part.standardDeviationKelvin)} K`), h('ul', { class: 'paths' }, ...[...part.inputs].sort((a, b) => b.sampledShare - a.sampledShare).map((input) => h('li', {}, h('span', { class: 'path' }, h('span', {}, input.label), h('span', { class: 'n' }, `${number(100 * input.sampledShare, 0)} %${input.kelvinPerUnit === null ? '' : `, ${Number(input.kelvinPerUnit.toPrecision(3))} K per unit`}`),
    h('svg', { svg: true, class: 'bar', viewBox: '0 0 100 4', preserveAspectRatio: 'none', 'aria-hidden': 'true' }, h('rect', { svg: true, class: 'gone', width: Math.max(0, 100 * input.sampledShare).toFixed(1), height: 4 }))))))))));
}

/** What is allowed over the ambient, curves of one unit in one plot. */
function derating(study) {
  const curves = study.derating?.curves ?? [];
  if (curves.length === 0) return [h('p', { class: 'quiet' }, 'No curve is known yet.')];
  return [h('div', { class: 'plots' }, ...[...Map.groupBy(curves, ({ unit }) => unit)].map(([unit, group]) => h('div', {},
    chart({ title: `Allowed over the ambient${group.length === 1 ? `: ${group[0].label}` : ''}`, x: 'Ambient, °C', y: `Allowed, ${unit}`, file: 'derating.csv', series: group.map(({ label, points }) => ({ name: label, points: points.map(({ ambientCelsius, allowed, outcome }) => [ambientCelsius, outcome === 'nothing' ? 0 : allowed]) })) }),
    h('ul', {}, ...group.map((curve) => h('li', {}, `${curve.label}: the board as asked has ${Number(curve.base.toPrecision(4))} ${unit}; limited by ${[...new Set(curve.points.map(({ limitedBy }) => limitedBy).filter(Boolean))].join(', ') || 'nothing'}`,
      curve.nothingAboveCelsius === null ? '. ' : `; nothing is allowed above ${number(curve.nothingAboveCelsius)} °C. `, h('a', { href: curve.table.replace(/^\//, '') }, 'Table'), ' ', h('a', { href: curve.drawing.replace(/^\//, '') }, 'Drawing')))))))];
}

/** The search for a value: every solve, and where the limit is met. */
function plan(study) {
  if (!study.plan) return [h('p', { class: 'quiet' }, 'The search is not done yet.')];
  const { text, trials, limitCelsius, part } = study.plan, axis = study.axes[0], points = [...trials].sort((a, b) => a.value - b.value).map(({ value, celsius }) => [value, celsius]);
  return [h('p', {}, text), chart({ title: `${part} over ${axis?.label ?? 'the value'}`, x: `${axis?.label ?? 'Value'}${axis?.unit ? `, ${axis.unit}` : ''}`, y: `${part}, °C`, series: [{ name: part, points }], lines: [{ y: limitCelsius, name: 'limit' }], file: 'search.csv' })];
}
