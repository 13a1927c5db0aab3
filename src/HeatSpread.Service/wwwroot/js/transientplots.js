// What happens after heat is switched on: thermal impedances, a schedule, and the end of a pulse that repeats.

import { chart } from './chart.js';
import { h } from './dom.js';
import { sideTable } from './sidetable.js';
import { celsius, kelvin, number, seconds, watts } from './words.js';

const mostSeries = 6, readAt = [0.001, 0.01, 0.1, 1, 10, 100, 1000], shareOfTimeConstant = 1 - Math.exp(-1);

/** @param {any} study @returns {HTMLElement[]} */
export function transient(study) {
  const { transient: found } = study;
  if (!found) return [h('p', { class: 'quiet' }, 'The transient is not done yet.')];
  return [
    ...found.warnings.map((text) => h('p', { class: 'remark' }, text)),
    found.pulse ? pulse(study, found.pulse) : null,
    found.impedances.length > 0 ? impedances(found.impedances) : null,
    found.schedule ? schedule(study, found.schedule, found.steadyCelsius) : null,
    h('p', { class: 'quiet' }, `${found.steps} steps of time on cells of ${number(found.pitchMm, 2)} mm.`),
  ].filter(Boolean);
}

/** Temperatures of a pulse that has repeated for ever. */
function pulse(study, { part, peakCelsius, troughCelsius, meanCelsius }) {
  const asked = study.asked?.transient?.pulse ?? {}, limit = study.parts.find(({ id }) => id === part)?.limitCelsius;
  const figures = [['Peak, at the end of each pulse', celsius(peakCelsius)], ['Trough, before each', celsius(troughCelsius)], ['Mean of the period', celsius(meanCelsius)], ...(Number.isFinite(limit) ? [[`Left to its limit of ${celsius(limit)}`, kelvin(limit - peakCelsius, true)]] : [])];
  return h('section', { class: 'plain-part', 'aria-label': `Repeated pulse of ${part}` }, h('h3', {}, `Repeated pulse of ${part}`),
    asked.onSeconds ? h('p', {}, `${watts(asked.watts)} for ${seconds(asked.onSeconds)} every ${seconds(asked.periodSeconds)}${asked.baseWatts ? `, ${watts(asked.baseWatts)} between` : ''}, after so many that all are alike.`) : null,
    h('dl', { class: 'figures' }, ...figures.map(([name, value]) => h('div', {}, h('dt', {}, name), h('dd', {}, value)))));
}

function impedances(curves) {
  const series = curves.slice(0, mostSeries).map((curve) => ({ name: curve.part, points: curve.seconds.map((at, i) => [at, curve.kelvinPerWatt[i]]) }));
  const moments = readAt.filter((at) => curves.some((curve) => curve.seconds[0] <= at && curve.seconds.at(-1) >= at));
  const rows = curves.map((curve) => [curve.part, ...moments.map((at) => impedanceAt(curve, at)), curve.settledKelvinPerWatt, timeTo(curve, shareOfTimeConstant * curve.settledKelvinPerWatt)]);
  return h('section', { class: 'plain-part', 'aria-label': 'Thermal impedance' },
    chart({ title: 'Thermal impedance', x: 'Time after a watt is switched on', y: 'K/W', logX: true, logY: true, sayX: seconds, series, file: 'impedance.csv', lines: curves.slice(0, mostSeries).length === 1 ? [{ y: curves[0].settledKelvinPerWatt, name: `settles at ${number(curves[0].settledKelvinPerWatt)} K/W`, quiet: true }] : [] }),
    sideTable({ caption: 'K/W after', head: ['Part', ...moments.map(seconds), 'settled', '63 % after'], rows, file: 'impedance-table.csv',
      say: (value, column) => (value === null ? '–' : column === 0 ? value : column === moments.length + 2 ? seconds(value) : number(value, 2)) }),
    curves.some(({ linear }) => !linear) ? h('p', { class: 'quiet' }, 'Films depend on temperature: the impedance is that of small changes about the steady state.') : null);
}

/** By the logarithms of time; null before and after the curve. */
function impedanceAt({ seconds: times, kelvinPerWatt }, at) {
  const next = times.findIndex((time) => time >= at);
  if (next < 0 || (next === 0 && times[0] > at)) return null;
  if (times[next] === at) return kelvinPerWatt[next];
  const share = Math.log(at / times[next - 1]) / Math.log(times[next] / times[next - 1]);
  return kelvinPerWatt[next - 1] + share * (kelvinPerWatt[next] - kelvinPerWatt[next - 1]);
}

/** When a curve reaches a value; null where it does not. */
function timeTo({ seconds: times, kelvinPerWatt }, value) {
  const next = kelvinPerWatt.findIndex((reached) => reached >= value);
  if (next < 1) return null;
  const share = (value - kelvinPerWatt[next - 1]) / (kelvinPerWatt[next] - kelvinPerWatt[next - 1]);
  return times[next - 1] * (times[next] / times[next - 1]) ** share;
}

function schedule(study, { seconds: times, peakCelsius, partCelsius }, steadyCelsius) {
  const parts = study.parts.map(({ id, limitCelsius }, i) => ({ id, limitCelsius, values: partCelsius[i], steady: steadyCelsius[i], highest: Math.max(...partCelsius[i]) })).sort((a, b) => b.highest - a.highest);
  const limits = [...new Set(parts.slice(0, mostSeries - 1).map(({ limitCelsius }) => limitCelsius).filter(Number.isFinite))].map((y) => ({ y, name: `limit of ${parts.filter(({ limitCelsius }) => limitCelsius === y).map(({ id }) => id).join(', ')}` }));
  const series = [{ name: 'Peak', dashed: true, points: times.map((at, i) => [at, peakCelsius[i]]) }, ...parts.slice(0, mostSeries - 1).map(({ id, values }) => ({ name: id, points: times.map((at, i) => [at, values[i]]) }))];
  return h('section', { class: 'plain-part', 'aria-label': 'Schedule' },
    chart({ title: 'Over the schedule', x: 'Time, s', y: 'Temperature, °C', series, lines: limits, file: 'schedule.csv' }),
    sideTable({ caption: 'Each part over the schedule', head: ['Part', 'highest, °C', 'at, s', 'limit, °C', 'steady, °C'], rows: parts.map(({ id, highest, values, limitCelsius, steady }) => [id, highest, times[values.indexOf(highest)], limitCelsius ?? null, steady]), file: 'schedule-parts.csv',
      say: (value, column, row) => (value === null ? '–' : column === 0 ? value : number(value, column === 2 ? 0 : 1)), isFault: ([, highest, , limit], column) => column === 1 && limit !== null && highest > limit }));
}
