// Studies: the list, a form for a new one, and one study as plots.

import { Refusal, post, read } from './api.js';
import { byId, fill, h } from './dom.js';
import { header, showFault } from './header.js';
import { studyPlots } from './studyplots.js';

const id = new URLSearchParams(location.search).get('id'), askAgainMilliseconds = 1000;
const kinds = { sweep: 'Sweep', sample: 'Tolerances', derating: 'Derating', plan: 'How much is needed', transient: 'Transient', correlation: 'Correlation with measurements' };

header('studies.html');
(id ? follow(id) : list()).catch((fault) => {
  fill(byId('study'));
  showFault(byId('fault'), fault instanceof Refusal && fault.status === 404 && !id ? new Error('This service does no studies.') : fault);
});

/** Shows a study, and again as long as it runs. @param {string} study */
async function follow(study) {
  for (;;) {
    const answer = await read(`v1/studies/${study}`), { progress } = answer, isRunning = answer.state === 'queued' || answer.state === 'running';
    document.title = `${kinds[answer.kind]} of ${answer.name} ${answer.revision} - HeatSpread`;
    byId('title').textContent = `${kinds[answer.kind]} of ${answer.name} ${answer.revision}`;
    fill(byId('study'), h('p', { class: 'links' }, h('a', { href: 'studies.html' }, '‹ All studies'), ' ', h('a', { href: `v1/studies/${study}` }, 'JSON')),
      isRunning ? h('p', {}, h('progress', { max: 100, value: progress.percent, 'aria-label': 'Progress of the study' }), ` ${progress.done} of ${progress.of}`, progress.step ? `, ${progress.step}` : null) : null,
      answer.problem ? h('p', { class: 'fail' }, answer.problem.detail ?? answer.problem.title) : null,
      ...studyPlots(answer),
      answer.accuracy ? h('p', { class: 'quiet' }, `Cells of ${Number(answer.accuracy.pitchMm.toPrecision(3))} mm; the grid's error of the base case is at most ${answer.accuracy.gridErrorKelvin.toFixed(1)} K.`) : null);
    if (!isRunning) return;
    await new Promise((wait) => setTimeout(wait, askAgainMilliseconds));
  }
}

async function list() {
  const [{ studies }, { solutions }] = await Promise.all([read('v1/studies'), read('v1/solutions')]);
  fill(byId('study'),
    studies.length === 0 ? h('p', { class: 'quiet' }, 'None yet.') : h('div', { class: 'sidetable wide', tabindex: '0', role: 'group', 'aria-label': 'Studies' }, h('table', {}, h('thead', {}, h('tr', {}, ...['Study', 'Board', 'State', 'Done'].map((text) => h('th', { scope: 'col' }, text)))),
      h('tbody', {}, ...studies.map((study) => h('tr', {}, h('th', { scope: 'row' }, h('a', { href: `studies.html?id=${study.id}` }, kinds[study.kind] ?? study.kind)), h('td', {}, `${study.name} ${study.revision}`), h('td', {}, study.state === 'solved' ? 'done' : study.state), h('td', {}, study.created ? h('time', { datetime: study.created }, new Date(study.created).toLocaleString([], { dateStyle: 'medium', timeStyle: 'short' })) : '–')))))),
    form(solutions.filter(({ state }) => state === 'solved')));
}

/** A new study of a solved board under its conditions: what it may take, or how its parts follow the ambient. */
function form(solutions) {
  if (solutions.length === 0) return h('p', { class: 'quiet' }, 'A study begins from a solved board: there is none yet.');
  const board = h('select', { id: 'study-board' }, ...solutions.map((solution) => h('option', { value: solution.id }, `${solution.name} ${solution.revision}, peak ${solution.peakCelsius.toFixed(1)} °C`)));
  const kind = h('select', { id: 'study-kind' }, h('option', { value: 'derating' }, 'What is allowed at each ambient'), h('option', { value: 'sweep' }, 'Temperatures over the ambient'), h('option', { value: 'transient' }, 'How its parts warm up'));
  const number = (name, value, least) => h('input', { type: 'number', value, min: least, step: 'any', 'aria-label': name });
  const ambients = h('p', { class: 'ends' }), last = number('End, s', 1000, 1), times = h('p', { class: 'ends', hidden: true }, 'Until ', last, ' s after a watt is switched on in each part that makes heat');
  kind.addEventListener('change', () => [ambients.hidden, times.hidden] = [kind.value === 'transient', kind.value !== 'transient']);
  const from = number('Lowest ambient, °C', 0), to = number('Highest ambient, °C', 85), count = number('How many', 12, 2);
  const start = async () => {
    fill(byId('fault'));
    try {
      const solution = await read(`v1/solutions/${board.value}`), range = { from: Number(from.value), to: Number(to.value), count: Math.round(Number(count.value)) };
      const asked = {
        derating: { derating: { ambientCelsius: range } }, sweep: { axes: [{ quantity: 'ambientCelsius', ...range }] },
        transient: { transient: { endSeconds: Number(last.value), impedances: solution.parts.filter(({ watts }) => watts > 0).slice(0, 6).map(({ id: part }) => part) } },
      }[kind.value];
      const answer = await (await post('v1/studies', { layout: solution.layout, conditions: solution.conditions, grid: solution.grid ?? undefined, ...asked }, { Prefer: 'respond-async' })).json();
      location.href = `studies.html?id=${answer.id}`;
    } catch (fault) {
      showFault(byId('fault'), fault);
    }
  };
  ambients.append('Ambient from ', from, ' to ', to, ' °C in ', count, ' steps');
  return h('section', { class: 'ruled', 'aria-labelledby': 'new-study' }, h('h2', { id: 'new-study' }, 'A new study'),
    h('p', { class: 'ends' }, h('label', { for: 'study-board' }, 'Of'), board, h('label', { for: 'study-kind' }, 'Asks'), kind),
    ambients, times,
    h('p', {}, h('button', { type: 'button', class: 'main', onclick: start }, 'Begin')),
    h('p', { class: 'quiet' }, 'Sweeps of anything else, tolerances, searches, schedules, pulses and correlations with measurements are posted to v1/studies; their plots are shown here.'));
}
