// What the service holds: boards with their revisions, and those that are being solved.

import { post, read, relative } from './api.js';
import { byId, fill, h } from './dom.js';
import { header, showFault } from './header.js';
import { State } from './state.js';
import { celsius } from './words.js';

const mostShown = 60;
const state = new State({ with: '' });

header('./');
show().catch((fault) => showFault(byId('fault'), fault));

async function show() {
  const [{ solutions }, { layouts }] = await Promise.all([read('v1/solutions'), read('v1/layouts')]);
  const shown = solutions.slice(0, mostShown), groups = Map.groupBy(shown, (solution) => solution.name);
  fill(byId('boards'), ...(shown.length > 0 ? [...groups].map(([name, revisions]) => board(name, revisions)) : [h('p', {}, 'None yet. ', h('a', { href: 'new.html' }, 'Bring in a board'), ', or post a layout and conditions to v1/solutions.')]),
    solutions.length > mostShown ? h('p', { class: 'quiet' }, `${solutions.length - mostShown} older ones are at `, h('a', { href: 'v1/solutions' }, 'v1/solutions'), '.') : null);
  fill(byId('layouts'), layouts.length > 0 ? h('ul', { class: 'layouts' }, ...layouts.slice(0, mostShown).map((layout) => h('li', {}, h('a', { href: `new.html?layout=${layout.id}` }, `${layout.name} ${layout.revision}`), h('time', { class: 'quiet', datetime: layout.created }, new Date(layout.created).toLocaleDateString([], { dateStyle: 'medium' }))))) : h('p', { class: 'quiet' }, 'None yet.'));
  const chosen = () => [...document.querySelectorAll('input[name="compare"]:checked')].map((box) => box.value);
  for (const box of document.querySelectorAll('input[name="compare"]')) box.addEventListener('change', () => choose(chosen()));
  choose(chosen());
}

/** The revisions of one board, in their order, their pictures on one scale. */
function board(name, revisions) {
  const solved = revisions.filter(({ state: at }) => at === 'solved'), max = Math.ceil(Math.max(...solved.map(({ peakCelsius }) => peakCelsius))), min = Math.floor(max / 2);
  const sorted = [...revisions].sort((a, b) => a.revision.localeCompare(b.revision));
  return h('section', { class: 'board', 'aria-label': name }, h('h3', {}, name), solved.length > 1 ? h('span', { class: 'quiet' }, `Pictures on one scale, ${min} to ${max} °C`) : null, h('div', { class: 'cards' }, ...sorted.map((solution) => card(solution, min, max))));
}

function card(solution, min, max) {
  const title = `${solution.name} ${solution.revision}`, page = `board.html?id=${solution.id}`;
  if (solution.state !== 'solved') return h('article', { class: 'card' }, h('h4', {}, h('a', { href: page }, title)), h('p', { class: 'quiet' }, solution.state));
  const picture = (width) => `${relative(solution.images[0])}?width=${width}&legend=false&min=${min}&max=${max}`;
  return h('article', { class: 'card' },
    h('a', { href: page }, h('img', { src: picture(480), srcset: `${picture(480)} 480w, ${picture(960)} 960w`, sizes: '20rem', alt: `Upper layer of ${title}`, loading: 'lazy', width: 480, height: 360 })),
    h('div', { class: 'head' }, h('h4', {}, h('a', { href: page }, `Revision ${solution.revision || '–'}`)), h('span', { class: `stamp ${solution.pass ? 'pass' : 'fail'}` }, solution.pass ? '✓ within limits' : '✗ over a limit')),
    h('div', { class: 'head' }, h('p', { class: 'peak' }, celsius(solution.peakCelsius), h('span', { class: 'quiet' }, ' peak')), h('time', { class: 'quiet', datetime: solution.created }, new Date(solution.created).toLocaleString([], { dateStyle: 'medium', timeStyle: 'short' }))),
    h('label', { class: 'check' }, h('input', { type: 'checkbox', name: 'compare', value: solution.id, 'aria-label': `Compare ${title}, peak ${celsius(solution.peakCelsius)}`, checked: state.get('with') === solution.id }), 'Compare'));
}

/** Offers a comparison when two are chosen: the first chosen in the list is the baseline. @param {string[]} ids */
function choose(ids) {
  if (ids.length !== 2) return fill(byId('chosen'), h('span', { class: 'quiet' }, ids.length === 1 ? 'Choose the one to compare it with.' : 'Tick two to compare them.'));
  fill(byId('chosen'), h('button', { type: 'button', class: 'main', onclick: () => compare(ids) }, 'Compare the two'));
}

async function compare([baseline, candidate]) {
  fill(byId('chosen'), 'Comparing …');
  try {
    const { id } = await (await post('v1/comparisons', { baseline, candidates: [candidate] })).json();
    location.href = `compare.html?id=${id}`;
  } catch (fault) {
    showFault(byId('fault'), fault);
    choose([baseline, candidate]);
  }
}
