// How well the model meets measurements: measured against computed, what was fitted, what is left of each point, and what the points cannot tell.

import { chart, csvOf } from './chart.js';
import { h } from './dom.js';
import { sideTable } from './sidetable.js';
import { kelvin, number } from './words.js';

/** Errors of two inputs that go together as much as this are hardly told apart. */
const closelyTied = 0.9;

/** What an interval goes beyond is nothing that one would build: the points do not bound it. */
const mostWritten = 1e6;

/** @param {any} study @returns {HTMLElement[]} */
export function correlation(study) {
  const { correlation: found } = study;
  if (!found) return [h('p', { class: 'quiet' }, 'The fit is not done yet.')];
  return [verdict(found), ...found.text.map((text) => h('p', { class: 'remark' }, text)), fittedTable(found.inputs), h('div', { class: 'plots' }, h('div', {}, against(found.points)), residuals(found.points)),
    found.inputs.length > 1 ? errorTable(found) : null].filter(Boolean);
}

function verdict({ rootMeanSquareKelvin, chiSquare, degreesOfFreedom, withinUncertainty, converged }) {
  return h('p', {}, h('span', { class: `stamp ${converged && withinUncertainty ? 'pass' : 'fail'}` }, !converged ? '✗ no minimum found' : withinUncertainty ? '✓ within the uncertainty' : '✗ beyond the uncertainty'),
    ` Root mean square of what is left: ${kelvin(rootMeanSquareKelvin)}; χ² ${number(chiSquare)} of ${degreesOfFreedom} degrees of freedom. `,
    withinUncertainty ? 'The points lie no farther off than their uncertainty explains.' : 'The points lie farther off than their uncertainty explains: something that was not fitted is wrong, or the uncertainties are too small.');
}

const digits = (value, error) => (Number.isFinite(error) && error > 0 ? Math.min(6, Math.max(0, 1 - Math.floor(Math.log10(error)))) : 3);

function fittedTable(inputs) {
  const rows = inputs.map(({ label, unit, start, value, standardError, interval95, told, atBound }) => [unit ? `${label}, ${unit}` : label, value, standardError, interval95[0], interval95[1], start, !told ? 'the points tell nothing of it' : atBound ? 'at its bound: the error means little' : '']);
  return sideTable({ caption: 'Fitted', head: ['Input', 'value', 'standard error', '95 %, from', 'to', 'began at', 'remark'], rows, file: 'fitted.csv',
    say: (value, column, row) => (typeof value === 'string' ? value : value === null ? '–' : Math.abs(value) >= mostWritten ? (value < 0 ? '< −10⁶' : '> 10⁶') : number(value, digits(value, row[2]))), isFault: (row, column) => column === 6 });
}

function against(points) {
  const ends = points.flatMap(({ measuredCelsius, computedCelsius }) => [measuredCelsius, computedCelsius]), [least, most] = [Math.min(...ends), Math.max(...ends)];
  const sorted = [...points].sort((a, b) => a.computedCelsius - b.computedCelsius);
  return chart({ title: 'Measured against computed', x: 'Computed, °C', y: 'Measured, °C', file: 'correlation.csv', text: csvOf(['Point', 'measured, °C', 'computed, °C', 'residual, K', 'standard uncertainty, K'], points.map((point) => [point.name, point.measuredCelsius, point.computedCelsius, point.residualKelvin, point.standardUncertaintyKelvin])),
    series: [{ name: 'equal', guide: true, points: [[least, least], [most, most]] },
      { name: 'Point', points: sorted.map(({ computedCelsius, measuredCelsius }) => [computedCelsius, measuredCelsius]), bars: sorted.map(({ standardUncertaintyKelvin }) => standardUncertaintyKelvin), names: sorted.map(({ name }) => name) }] });
}

/** What is left of each point, beside a bar whose grey middle is the point's standard uncertainty. */
function residuals(points) {
  const most = Math.max(1e-9, ...points.flatMap(({ residualKelvin, standardUncertaintyKelvin }) => [Math.abs(residualKelvin), standardUncertaintyKelvin]));
  const rows = [...points].sort((a, b) => Math.abs(b.residualKelvin / b.standardUncertaintyKelvin) - Math.abs(a.residualKelvin / a.standardUncertaintyKelvin)).map((point) => [point.name, point.measuredCelsius, point.computedCelsius, point.residualKelvin, point.standardUncertaintyKelvin, point]);
  return sideTable({ caption: 'What is left, measured less computed', head: ['Point', 'measured, °C', 'computed, °C', 'residual, K', '± K', ''], rows, file: 'residuals.csv',
    say: (value, column) => (column === 0 ? value : column === 5 ? residualBar(value, most) : number(value, column < 3 ? 1 : 2)), isFault: (row, column) => column === 3 && Math.abs(row[3]) > 2 * row[4] });
}

function residualBar({ residualKelvin, standardUncertaintyKelvin }, most) {
  const half = (value) => (48 * Math.abs(value)) / most, rect = (attributes) => h('rect', { svg: true, ...attributes });
  return h('svg', { svg: true, class: 'bar', viewBox: '0 0 100 8', preserveAspectRatio: 'none', 'aria-hidden': 'true' }, rect({ class: 'way', x: 50 - half(standardUncertaintyKelvin), width: 2 * half(standardUncertaintyKelvin), height: 8 }),
    rect({ class: residualKelvin < 0 ? 'cooler' : 'gone', x: residualKelvin < 0 ? 50 - half(residualKelvin) : 50, y: 2, width: half(residualKelvin), height: 4 }), rect({ class: 'axis', x: 49.8, width: 0.4, height: 8 }));
}

/** How the errors of the inputs go together. */
function errorTable({ inputs, errorCorrelations }) {
  return sideTable({ caption: 'Correlation of the inputs’ errors; near 1 or −1 the points hardly tell the two apart', head: ['Input', ...inputs.map(({ label }) => label)], rows: inputs.map(({ label }, i) => [label, ...errorCorrelations[i]]), file: 'error-correlations.csv',
    say: (value, column) => (column === 0 ? value : Number.isFinite(value) ? number(value, 2) : '–'), isFault: (row, column) => column > 0 && row[0] !== inputs[column - 1].label && Math.abs(row[column]) >= closelyTied });
}
