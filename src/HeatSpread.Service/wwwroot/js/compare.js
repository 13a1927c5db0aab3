// The page of a comparison: two revisions on one scale, their difference, and where it comes from.

import { Refusal, read } from './api.js';
import { byId, fill, h } from './dom.js';
import { boxAround } from './findings.js';
import { header, showFault } from './header.js';
import { CompareMap, modes } from './comparemap.js';
import { showLedger } from './ledger.js';
import { loadPalettes } from './palette.js';
import { Plan } from './plan.js';
import { stackSection, updateStack } from './stack.js';
import { State } from './state.js';
import { celsius, kelvin, number } from './words.js';

const id = new URLSearchParams(location.search).get('id') ?? '';
const state = new State({ mode: 'difference', at: '0.5', layer: '', part: '', entry: '', candidate: '0', view: '' });

header('compare.html');
start().catch((fault) => showFault(byId('fault'), fault));

async function start() {
  if (!id) throw new Error('The address names no comparison: compare.html?id=…');
  const [comparison, palettes] = await Promise.all([read(`v1/comparisons/${id}`), loadPalettes()]);
  const candidate = comparison.candidates[Number(state.get('candidate'))] ?? comparison.candidates[0];
  const board = async (solution) => ({ solution: await read(`v1/solutions/${solution}`), plan: new Plan(await read(`v1/solutions/${solution}/plan`)) });
  try {
    const [before, after] = await Promise.all([board(comparison.baseline), board(candidate.solution)]);
    new ComparePage(comparison, candidate, before, after, palettes);
  } catch (fault) {
    if (!(fault instanceof Refusal) || fault.status !== 404) throw fault;
    withoutSolutions(comparison, candidate);
  }
}

/** The solutions were removed: what the comparison keeps is shown. */
function withoutSolutions(comparison, candidate) {
  byId('title').textContent = `${candidate.name} ${candidate.revision}`;
  fill(byId('fault'), h('p', {}, 'One of the solutions was removed; the comparison keeps its difference maps.'), h('div', { class: 'cards' }, ...candidate.layers.map((layer) => h('img', { src: layer.image.slice(1), alt: `Differences of ${layer.name}` }))));
  partTable(candidate);
  showLedger(byId('ledger'), candidate, { part: candidate.ledger[0]?.part ?? '', entry: -1, choosePart() {}, chooseEntry() {} });
}

class ComparePage {
  constructor(comparison, candidate, before, after, palettes) {
    Object.assign(this, { comparison, candidate, before, after });
    this.map = new CompareMap(comparison, candidate, before, after, palettes, state);
    this.#titles();
    this.stack = stackSection(after.plan, candidate.layers, (layer) => state.set({ layer }, { step: true }), { faces: false, figure: ({ maxDeltaKelvin }) => `≤ ${kelvin(maxDeltaKelvin, true)}` });
    fill(byId('stack'), this.stack);
    partTable(candidate);
    state.addEventListener('change', (event) => this.update(/** @type {CustomEvent} */ (event).detail));
    const { view } = this.map;
    view.addEventListener('step', ({ detail }) => {
      const names = candidate.layers.map(({ name }) => name), next = names[names.indexOf(this.layer) + detail];
      if (next) state.set({ layer: next }, { step: true });
    });
    view.addEventListener('escape', () => (state.get('entry') ? state.set({ entry: '' }, { step: true }) : view.fit()));
    view.addEventListener('point', ({ detail }) => {
      const told = detail ? this.map.read(detail) : null;
      this.map.legend.point(told?.value ?? null);
      byId('point').textContent = told?.text ?? 'Point at the map to read it.';
    });
    document.addEventListener('keydown', (event) => event.key === 'b' && !/** @type {Element} */ (event.target).closest('input, select') && this.map.turn());
    this.update(new Set(['all']));
  }

  get layer() {
    const wanted = state.get('layer'), { layers } = this.candidate;
    return layers.some(({ name }) => name === wanted) ? wanted : layers[0].name;
  }

  get ledger() {
    return this.candidate.ledger.find(({ part }) => part === state.get('part')) ?? this.candidate.ledger[0];
  }

  async update(changed) {
    const has = (...names) => changed.has('all') || names.some((name) => changed.has(name));
    if (has('candidate') && !changed.has('all')) return location.reload();
    updateStack(this.stack, this.layer, []);
    if (has('mode', 'at', 'layer')) this.#display();
    if (has('part', 'entry')) this.#ledger();
    try {
      const entry = this.ledger?.entries[Number(state.get('entry') || -1)] ?? null;
      await this.map.draw(this.layer, entry);
    } catch (fault) {
      showFault(byId('fault'), fault);
    }
    this.#block();
  }

  #titles() {
    const { candidate, before, after } = this, { pass, reasons } = after.solution.verdict;
    document.title = `${candidate.name} ${candidate.revision} against ${before.solution.revision} - HeatSpread`;
    byId('title').textContent = `${candidate.name} ${candidate.revision} against ${before.solution.name === candidate.name ? '' : `${before.solution.name} `}${before.solution.revision}`;
    fill(byId('verdict'), h('span', { class: `stamp ${pass ? 'pass' : 'fail'}` }, pass ? '✓ within limits' : '✗ over a limit'));
    fill(byId('reasons'), ...reasons);
    const worst = [...candidate.parts].filter(({ deltaKelvin }) => deltaKelvin !== null).sort((a, b) => Math.abs(b.deltaKelvin) - Math.abs(a.deltaKelvin))[0];
    const figures = [[`Peak of ${before.solution.revision || 'the baseline'}`, celsius(before.solution.peak.celsius), 'baseline'], [`Peak of ${candidate.revision || 'the candidate'}`, celsius(after.solution.peak.celsius), `${kelvin(candidate.peakDeltaKelvin, true)} against the baseline`],
      ...(worst ? [['Most changed part', kelvin(worst.deltaKelvin, true), `${worst.id}, ${number(worst.baselineCelsius)} to ${celsius(worst.celsius)}`]] : [])];
    fill(byId('headline'), ...figures.map(([name, value, note]) => h('div', {}, h('dt', {}, name), h('dd', {}, value), h('dd', { class: 'quiet' }, note))),
      candidate.solvedAgain.length > 0 ? h('p', { class: 'quiet' }, 'Both were brought to one grid; the figures of parts are of it.') : null);
  }

  #display() {
    const mode = state.get('mode'), { comparison } = this;
    fill(byId('display'), h('fieldset', { class: 'display' }, h('legend', {}, 'Compare by'),
      ...modes.map(([key, text]) => h('label', { class: 'check' }, h('input', { type: 'radio', name: 'mode', checked: key === mode, onchange: () => state.set({ mode: key }, { step: true }) }), text)),
      h('div', { class: 'buttons' }, h('button', { type: 'button', onclick: () => this.map.view.fit() }, 'Whole board')),
      comparison.candidates.length > 1 ? h('label', { class: 'field' }, h('span', {}, 'Candidate'), h('select', { onchange: (event) => state.set({ candidate: event.target.value }, { step: true }) }, ...comparison.candidates.map((each, i) => h('option', { value: i, selected: String(i) === state.get('candidate') }, `${each.name} ${each.revision}`)))) : null,
      h('p', { class: 'links' }, h('a', { href: `board.html?id=${comparison.baseline}` }, `Board ${this.before.solution.revision}`), h('a', { href: `board.html?id=${this.candidate.solution}` }, `Board ${this.candidate.revision}`))));
    const range = byId('slider').querySelector('input');
    if (mode === 'swipe' && range) return;
    fill(byId('slider'),
      mode === 'swipe' ? h('span', {}, this.before.solution.revision) : null,
      mode === 'swipe' ? h('input', { type: 'range', min: 0, max: 1, step: 0.005, value: state.get('at'), 'aria-label': 'Place of the swipe', oninput: (event) => state.set({ at: event.target.value }) }) : null,
      mode === 'swipe' ? h('span', {}, this.candidate.revision) : null,
      mode === 'blink' ? h('button', { type: 'button', onclick: () => this.map.turn() }, 'Turn over (B)') : null,
      mode === 'blink' ? h('output', { id: 'side', 'aria-live': 'polite' }) : null,
      mode === 'blink' ? h('label', { class: 'check' }, h('input', { type: 'checkbox', checked: this.map.isBlinking, onchange: (event) => this.map.blink(event.target.checked) }), 'by itself') : null);
  }

  #ledger() {
    showLedger(byId('ledger'), this.candidate, {
      part: this.ledger?.part ?? '', entry: state.get('entry') === '' ? -1 : Number(state.get('entry')),
      choosePart: (part) => state.set({ part, entry: '' }, { step: true }),
      chooseEntry: (index) => {
        const entry = this.ledger.entries[index], pieces = entry?.pieces ?? [], here = pieces.some(({ layer }) => layer === this.layer);
        state.set({ entry: index < 0 ? '' : String(index), layer: entry && pieces.length > 0 && !here ? pieces[0].layer : this.layer }, { step: true });
        const rings = (entry?.pieces ?? []).flatMap(({ area }) => area.coordinates.flat(2)).concat(entry?.at ?? []);
        if (rings.length > 0) this.map.view.reveal(boxAround(this.after.plan, rings));
      },
    });
  }

  #block() {
    const { comparison, candidate, before, after } = this, [min, max] = this.map.ends;
    const entries = [['Baseline', `${before.solution.name} ${before.solution.revision}`], ['Candidate', `${candidate.name} ${candidate.revision}`], ['Layer', this.layer],
      ['Scale', `${number(min)} to ${number(max)} ${this.map.unit}`], ['Grid', `${number(candidate.grid.pitchMm[0], 3)} mm, error ≤ ${kelvin(candidate.gridErrorKelvin)}`], ['Comparison', h('span', { class: 'id' }, comparison.id.slice(0, 12))]];
    fill(byId('block'), ...entries.map(([name, value]) => h('div', {}, h('dt', {}, name), h('dd', {}, value))));
  }
}

function partTable(candidate) {
  const rows = [...candidate.parts].sort((a, b) => Math.abs(b.deltaKelvin ?? 1e9) - Math.abs(a.deltaKelvin ?? 1e9)), most = Math.max(1e-9, ...rows.map(({ deltaKelvin }) => Math.abs(deltaKelvin ?? 0)));
  fill(byId('parts'), h('table', { class: 'parts' }, h('thead', {}, h('tr', {}, ...['Part', 'Before', 'After', 'Change'].map((text, i) => h('th', { scope: 'col', class: i === 1 || i === 2 ? 'n' : null }, text)))),
    h('tbody', {}, ...rows.map((part) => h('tr', {}, h('th', { scope: 'row' }, part.id), h('td', { class: 'n' }, part.baselineCelsius === null ? 'absent' : number(part.baselineCelsius)), h('td', { class: 'n' }, part.celsius === null ? 'absent' : number(part.celsius)),
      h('td', {}, h('div', { class: 'margin' }, h('svg', { svg: true, class: 'bar', viewBox: '0 0 100 8', preserveAspectRatio: 'none', 'aria-hidden': 'true' }, h('rect', { svg: true, class: 'way', width: 100, height: 8 }), h('rect', { svg: true, class: (part.deltaKelvin ?? 0) < 0 ? 'cooler' : 'gone', width: ((100 * Math.abs(part.deltaKelvin ?? 0)) / most).toFixed(1), height: 8 })), h('span', {}, kelvin(part.deltaKelvin, true)))))))));
}

