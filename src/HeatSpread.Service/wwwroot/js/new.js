// A new board: its files, what was recognised of them, watts and air, and the solve.

import { ask, post, read, watch } from './api.js';
import { ConditionsForm, usualConditions } from './conditions.js';
import { byId, fill, h } from './dom.js';
import { showDocumentFaults } from './documentfaults.js';
import { header, showFault } from './header.js';
import { Recognised } from './recognised.js';
import { stepName } from './words.js';
import { zipNames } from './zipnames.js';

const steps = ['raster', 'solve', 'findings'];

header('new.html');

/** What the user has given so far. */
const given = {
  /** @type {File[]} */ files: [],
  /** Names of the fabrication files, those inside archives too. @type {string[]} */ names: [],
  /** Text of a layout, where that was given. @type {string|null} */ text: null,
  /** The document as it came, and where in it the layout is; null once the form has changed the layout. @type {{text: string, prefix: string}|null} */ source: null,
  /** Of fabrication files. @type {any} */ description: { name: '', revision: '' },
  conditions: usualConditions(),
  /** @type {any} */ grid: null,
};
const recognised = new Recognised(byId('preview'), given, () => recognise());

dropZone();
const known = new URLSearchParams(location.search).get('layout');
if (known) {
  read(`v1/layouts/${known}`).then((layout) => {
    takeDocument(JSON.stringify(layout, null, 2));
    return recognise();
  }).catch((fault) => showFault(byId('fault'), fault));
}

function dropZone() {
  const input = h('input', { type: 'file', multiple: true, id: 'files', onchange: () => take([...input.files]) });
  const zone = h('div', { class: 'dropzone',
    ondragover: (event) => {
      event.preventDefault();
      zone.classList.add('over');
    },
    ondragleave: () => zone.classList.remove('over'),
    ondrop: (event) => {
      event.preventDefault();
      zone.classList.remove('over');
      take([...event.dataTransfer.files]);
    } },
    h('p', {}, h('label', { for: 'files' }, 'Drop the files here, or choose them:'), ' ', input),
    h('p', { class: 'quiet' }, 'A ZIP or the single files: Gerber, drill, placement table, netlist, job file or IPC-2581; or a layout as JSON.'),
    h('div', { class: 'ends' }, ...[['name', 'Name of the board'], ['revision', 'Revision']].map(([key, text]) => h('label', { class: 'number' }, h('span', {}, text), h('input', { type: 'text', id: key, size: key === 'name' ? 24 : 6, oninput: (event) => (given.description[key] = event.target.value), onchange: () => given.files.length > 0 && given.text === null && recognise() })))));
  fill(byId('drop'), zone);
}

/** @param {File[]} files */
async function take(files) {
  if (files.length === 0) return;
  Object.assign(given, { files, text: null, source: null, names: [], grid: null, conditions: usualConditions() });
  given.description = { name: byId('name').value || files[0].name.replace(/\.[^.]*$/, ''), revision: byId('revision').value };
  byId('name').value = given.description.name;
  if (files.length === 1 && /\.json$/i.test(files[0].name)) takeDocument(await files[0].text());
  else given.names = (await Promise.all(files.map(async (file) => (/\.zip$/i.test(file.name) ? zipNames(file) : [file.name])))).flat();
  await recognise();
}

/** Asks the service what it makes of what was given. */
async function recognise() {
  fill(byId('fault'), h('p', {}, 'Reading …'));
  byId('solve').hidden = true;
  try {
    const preview = await (await ask('v1/layouts?preview=true', upload())).json();
    fill(byId('fault'));
    byId('recognised').hidden = false;
    recognised.show(preview);
    showConditions(preview);
  } catch (fault) {
    refuse(fault);
  }
}

function refuse(fault) {
  byId('recognised').hidden = true;
  if (given.text !== null) {
    const { text, prefix } = given.source ?? { text: given.text, prefix: '' };
    showDocumentFaults(byId('fault'), fault, text, { prefix, layout: parsed(given.text) });
  } else {
    showFault(byId('fault'), fault);
    byId('recognised').hidden = false;
    recognised.mend(fault);
  }
}

/** Null where it is no JSON. @param {string} text */
function parsed(text) {
  try {
    return JSON.parse(text);
  } catch {
    return null; // the service says where
  }
}

/** Takes a layout, or the layout out of a whole request with its conditions. @param {string} text */
function takeDocument(text) {
  const posted = parsed(text), isRequest = posted !== null && typeof posted === 'object' && typeof posted.layout === 'object';
  given.source = { text, prefix: isRequest ? '/layout' : '' };
  given.text = isRequest ? JSON.stringify(posted.layout, null, 2) : text;
  if (isRequest && posted.conditions) given.conditions = posted.conditions;
  if (isRequest) given.grid = posted.grid ?? null;
}

/** What is posted: a document, or files and their description. */
function upload() {
  if (given.text !== null) return { method: 'POST', headers: { 'Content-Type': 'application/json' }, body: given.text };
  const form = new FormData();
  form.append('description', JSON.stringify(given.description));
  for (const file of given.files) form.append('files', file, file.name);
  return { method: 'POST', body: form };
}

function showConditions(preview) {
  byId('solve').hidden = false;
  const form = new ConditionsForm(given.conditions, (conditions) => (given.conditions = { ...given.conditions, ...conditions }));
  const limit = h('input', { type: 'number', value: given.conditions.limits?.boardCelsius ?? '', placeholder: 'none', oninput: () => (given.conditions.limits = limit.value === '' ? undefined : { boardCelsius: Number(limit.value) }) });
  const pitch = h('input', { type: 'number', min: 0.02, step: 'any', value: given.grid?.pitchMm ?? '', placeholder: 'chosen', oninput: () => (given.grid = pitch.value === '' ? null : { pitchMm: Number(pitch.value) }) });
  fill(byId('ask'), form.element,
    h('div', {}, h('label', { class: 'number' }, h('span', {}, 'Limit of the board'), limit, h('span', { class: 'unit' }, '°C')), h('label', { class: 'number' }, h('span', {}, 'Cells of'), pitch, h('span', { class: 'unit' }, 'mm'))),
    h('p', { class: 'quiet' }, `${preview.parts.filter((part) => part.watts > 0).length} parts make heat.`),
    h('p', {}, h('button', { type: 'button', class: 'main', onclick: solve }, 'Solve')));
}

async function solve() {
  fill(byId('fault'));
  try {
    const { id: layout } = await (await ask('v1/layouts', upload())).json();
    const answer = await (await post('v1/solutions', { layout, conditions: given.conditions, ...(given.grid ? { grid: given.grid } : {}) }, { Prefer: 'respond-async' })).json();
    if (answer.state !== 'solved') await watch(answer.id, showProgress);
    location.href = `board.html?id=${answer.id}`;
  } catch (fault) {
    fill(byId('progress'));
    const isOfDocument = given.source?.prefix && fault.errors?.length > 0 && fault.errors.every(({ pointer }) => /^\/(conditions|grid)/.test(pointer));
    if (isOfDocument) showDocumentFaults(byId('progress'), fault, given.source.text);
    else showFault(byId('progress'), fault);
  }
}

function showProgress(step, percent) {
  const now = steps.indexOf(step);
  fill(byId('progress'), h('progress', { max: 100, value: percent, 'aria-label': 'Progress of the solve' }),
    h('ol', { class: 'steps' }, ...steps.map((name, i) => h('li', { class: i < now ? 'done' : i === now ? 'now' : 'later' }, stepName(name)))));
}
