// The page of one solved board.

import { Refusal, post, read, watch } from './api.js';
import { ConditionsForm } from './conditions.js';
import { BoardMap, quantities } from './boardmap.js';
import { byId, fill, h, seen } from './dom.js';
import { boxAround, showFindings, showHotSpots } from './findings.js';
import { header, showFault } from './header.js';
import { loadPalettes } from './palette.js';
import { PartTable, showPaths } from './parts.js';
import { Plan } from './plan.js';
import { showProfile } from './profile.js';
import { bottomFace, stackSection, topFace, updateStack, viewName, viewsOf } from './stack.js';
import { State } from './state.js';
import { Trials } from './trial.js';
import { celsius, kelvin, number, stepName, watts } from './words.js';

const id = new URLSearchParams(location.search).get('id') ?? '';
const state = new State({ show: 'temperature', scale: 'board', palette: '', iso: '0', outlines: '1', layer: '', part: '', finding: '', spot: '', view: '', line: '', try: '' });

header('board.html');
start().catch((fault) => showFault(byId('fault'), fault));

async function start() {
  if (!id) throw new Error('The address names no solution: board.html?id=…');
  const solution = await solved(await read(`v1/solutions/${id}`));
  const [plan, palettes] = await Promise.all([read(`v1/solutions/${id}/plan`), loadPalettes()]);
  new BoardPage(solution, new Plan(plan), palettes);
}

/** Waits for a solution that is still being solved. */
async function solved(answer) {
  if (answer.state === 'solved') return answer;
  if (answer.state === 'failed' || answer.state === 'cancelled') throw answer.problem ? new Refusal(422, answer.problem) : new Error(`The solve was ${answer.state}.`);
  return watch(id, (step, percent) => fill(byId('fault'), h('p', {}, `${stepName(step)} `, h('progress', { max: 100, value: percent, 'aria-label': 'Progress' }))));
}

class BoardPage {
  constructor(solution, plan, palettes) {
    fill(byId('fault'));
    [this.solution, this.plan, this.palettes] = [solution, plan, palettes];
    this.parts = new Map(solution.parts.map((part) => [part.id, part]));
    this.trials = new Trials(solution, (tried, how, fault) => this.#tried(tried, how, fault));
    this.tried = null;
    this.map = new BoardMap(solution, plan, palettes, state);
    this.#titles();
    this.stack = stackSection(plan, solution.layers, (layer) => state.set({ layer }, { step: true }));
    fill(byId('stack'), this.stack);
    this.#display();
    this.#heat();
    const { converter } = solution.conditions, fixed = [converter?.part, converter?.inductor];
    this.table = new PartTable(byId('parts'), { choose: (chosen) => this.#choosePart(chosen), watts: (part, value) => this.#tryWatts(part, value), touched: () => this.#warm(), isFixed: (part) => fixed.includes(part) });
    this.form = new ConditionsForm(this.#conditions(), ({ ambientCelsius, surfaces }) => this.#try({ ...this.#conditions(), ambientCelsius, surfaces }), () => this.#warm());
    fill(byId('conditions'), this.form.element);
    document.addEventListener('pointermove', () => this.#warm(), { once: true }); // a person is here, and may write in a moment
    this.#listen();
    if (state.get('try')) this.trials.ask(this.#conditions(), this.layer);
    this.update(new Set(['all']));
  }

  get layer() {
    const wanted = state.get('layer');
    return viewsOf(this.solution).includes(wanted) ? wanted : this.solution.layers[0].name;
  }

  /** The solution's conditions with what is tried put in. */
  #conditions() {
    const tried = state.get('try');
    if (!tried) return structuredClone(this.solution.conditions);
    try {
      return { ...structuredClone(this.solution.conditions), ...JSON.parse(tried) };
    } catch {
      return structuredClone(this.solution.conditions);
    }
  }

  #listen() {
    state.addEventListener('change', (event) => this.update(/** @type {CustomEvent} */ (event).detail));
    const { view } = this.map;
    view.addEventListener('step', ({ detail }) => {
      const views = viewsOf(this.solution), next = views[views.indexOf(this.layer) + detail];
      if (next) state.set({ layer: next }, { step: true });
    });
    view.addEventListener('pick', ({ detail }) => this.#pick(detail));
    view.addEventListener('escape', () => this.#release());
    view.addEventListener('point', ({ detail }) => this.#point(detail));
    view.addEventListener('line', ({ detail: { line, final } }) => {
      this.map.line = line;
      this.map.refresh();
      if (!final) return;
      view.drawing = false;
      state.set({ line: line.map((value) => value.toFixed(3)).join(',') }, { step: true });
      this.#display();
    });
    document.addEventListener('keydown', (event) => {
      if (event.key === 'Escape' && !event.defaultPrevented && !/** @type {Element} */ (event.target).closest('input, select')) this.#release();
    });
  }

  /** Lets go of what is chosen, the last thing first. */
  #release() {
    if (this.map.view.drawing) {
      this.map.view.drawing = false;
      this.#display();
    } else if (state.get('finding') || state.get('spot')) state.set({ finding: '', spot: '' }, { step: true });
    else if (state.get('part')) state.set({ part: '', show: state.get('show') === 'benefit' ? 'temperature' : state.get('show') }, { step: true });
    else if (state.get('line')) state.set({ line: '' }, { step: true });
    else this.map.view.fit();
  }

  /** @param {Set<string>} changed */
  async update(changed) {
    const all = changed.has('all'), has = (...names) => all || names.some((name) => changed.has(name));
    if (has('try') && !all) this.#followTry();
    if (has('layer', 'try')) updateStack(this.stack, this.layer, this.tried?.layers ?? this.solution.layers);
    if (has('part', 'show', 'try')) this.#parts();
    if (has('finding')) showFindings(byId('findings'), this.solution.findings, this.finding, (index) => this.#chooseFinding(index));
    if (has('spot')) showHotSpots(byId('spots'), this.solution.hotspots, Number(state.get('spot')), (rank) => this.#chooseSpot(rank));
    if (has('show', 'scale', 'palette', 'iso', 'outlines', 'layer', 'line', 'part')) this.#display();
    await this.#draw();
    if (has('line', 'layer', 'try')) this.#profile();
    this.#block();
  }

  get finding() {
    return state.get('finding') === '' ? -1 : Number(state.get('finding'));
  }

  async #draw() {
    try {
      await this.map.draw(this.layer, this.trials.tried ? this.trials : null, this.tried);
      fill(byId('fault'));
    } catch (fault) {
      showFault(byId('fault'), fault);
    }
  }

  #parts() {
    const part = this.parts.get(state.get('part')), parts = this.tried?.parts ?? this.solution.parts;
    this.table.show({ parts, before: this.tried ? this.parts : null, ambient: this.#conditions().ambientCelsius, selected: part?.id ?? '' });
    this.#headline(parts);
    byId('part-section').hidden = !part;
    if (!part) return;
    byId('part-title').textContent = `The heat of ${part.id}`;
    const isBenefit = state.get('show') === 'benefit';
    showPaths(byId('part'), part, { light: (net) => this.map.light(net), benefit: () => state.set({ show: isBenefit ? 'temperature' : 'benefit', layer: this.layer.startsWith('^') ? this.solution.layers[0].name : this.layer }, { step: true }), isBenefit });
  }

  #choosePart(chosen) {
    state.set({ part: chosen, show: !chosen && state.get('show') === 'benefit' ? 'temperature' : state.get('show') }, { step: true });
    const part = this.plan.parts.find((each) => each.id === chosen);
    if (part) this.map.view.reveal(part.box);
  }

  #chooseFinding(index) {
    const finding = this.solution.findings[index];
    if (!finding) return state.set({ finding: '' }, { step: true });
    state.set({ finding: String(index), spot: '', show: 'temperature', layer: finding.layer ?? this.layer }, { step: true });
    if (finding.path.length > 0) this.map.view.reveal(boxAround(this.plan, finding.path));
  }

  #chooseSpot(rank) {
    const spot = this.solution.hotspots.find((each) => each.rank === rank);
    if (!spot) return state.set({ spot: '' }, { step: true });
    state.set({ spot: String(rank), finding: '', show: 'temperature', layer: spot.layer }, { step: true });
    this.map.view.reveal(boxAround(this.plan, [spot.at]));
  }

  /** What is marked at a place is chosen in the lists, else the part there. */
  #pick([x, y]) {
    const { solution, plan, map } = this, near = (place) => Math.hypot(plan.point(place)[0] - x, plan.point(place)[1] - y) * map.view.scale < 12;
    const spot = solution.hotspots.find((each) => each.layer === this.layer && near(each.at));
    const finding = solution.findings.findIndex((each) => (!each.layer || each.layer === this.layer) && each.path.some(near));
    if (spot && String(spot.rank) !== state.get('spot')) return this.#chooseSpot(spot.rank);
    if (finding >= 0 && finding !== this.finding) return this.#chooseFinding(finding);
    const part = plan.partAt(x, y);
    state.set({ part: part?.id ?? '', finding: '', spot: '' }, { step: true });
    seen(byId('parts'), byId('parts').querySelector('.chosen'));
  }

  #point(place) {
    const told = place ? this.map.read(place) : null;
    this.map.legend.point(told?.value ?? null);
    byId('point').textContent = told ? told.text : 'Point at the map to read it.';
  }

  // Trying other watts and air

  /** Gets ready for a change. */
  #warm() {
    this.trials.warm(this.layer.startsWith('^') ? this.solution.layers[0].name : this.layer);
  }

  /** Watts of one part; those of the solution are as if nothing was written. */
  #tryWatts(part, value) {
    const base = this.solution.conditions.watts, conditions = this.#conditions(), watts = { ...conditions.watts, [part]: value };
    if (value === this.parts.get(part).watts) {
      if (base && part in base) watts[part] = base[part];
      else delete watts[part];
    }
    this.#try({ ...conditions, watts: base || Object.keys(watts).length > 0 ? watts : undefined });
  }

  #try(conditions) {
    const changed = Object.fromEntries(['ambientCelsius', 'surfaces', 'watts'].filter((key) => JSON.stringify(conditions[key]) !== JSON.stringify(this.solution.conditions[key])).map((key) => [key, conditions[key]]));
    this.ownTry = Object.keys(changed).length > 0 ? JSON.stringify(changed) : '';
    state.set({ try: this.ownTry });
  }

  #followTry() {
    if (state.get('try') !== this.ownTry) this.form.show(this.#conditions());
    this.ownTry = state.get('try');
    if (state.get('try')) {
      this.trials.ask(this.#conditions(), this.layer.startsWith('^') ? this.solution.layers[0].name : this.layer);
      if (this.layer.startsWith('^') || state.get('show') !== 'temperature') state.set({ layer: this.layer.startsWith('^') ? this.solution.layers[0].name : this.layer, show: 'temperature' });
      return;
    }
    this.trials.forget();
    this.tried = null;
    delete this.map.view.canvas.dataset.trial;
    fill(byId('trial'));
  }

  async #tried(tried, how, fault) {
    if (how === 'failed') return fill(byId('trial'), h('p', { class: 'fail' }, fault.message, ...(fault.errors ?? []).map(({ detail }) => ` ${detail}`)));
    this.tried = tried;
    this.map.view.canvas.dataset.trial = how;
    fill(byId('trial'), h('p', {}, how === 'estimate' ? 'Following the change …' : `Tried: peak ${celsius(tried.peakCelsius)}. Not kept, and without estimate of error or findings. `),
      how === 'solved' ? h('p', {}, h('button', { type: 'button', onclick: () => this.#keep() }, 'Solve and keep'), ' ', h('button', { type: 'button', class: 'plain', onclick: () => state.set({ try: '' }, { step: true }) }, 'Back to the solution')) : null);
    this.#parts();
    updateStack(this.stack, this.layer, tried.layers);
    await this.#draw();
    if (how === 'solved' && state.get('line')) this.#profile();
  }

  async #keep() {
    const request = { layout: this.solution.layout, conditions: this.#conditions(), ...(this.solution.grid ? { grid: this.solution.grid } : {}) };
    try {
      const answer = await (await post('v1/solutions', request, { Prefer: 'respond-async' })).json();
      location.href = `board.html?id=${answer.id}`;
    } catch (fault) {
      showFault(byId('trial'), fault);
    }
  }

  // Panels

  #titles() {
    const { solution } = this, { pass, reasons } = solution.verdict;
    document.title = `${solution.name} ${solution.revision} - HeatSpread`;
    byId('title').textContent = `${solution.name} ${solution.revision}`;
    fill(byId('verdict'), h('span', { class: `stamp ${pass ? 'pass' : 'fail'}` }, pass ? '✓ within limits' : '✗ over a limit'));
    fill(byId('reasons'), ...reasons);
    fill(byId('tools'), h('a', { href: `./#with=${id}` }, 'Compare …'), h('a', { href: `v1/solutions/${id}/report.html` }, 'Report'), h('a', { href: `v1/solutions/${id}/report.pdf` }, 'PDF'), h('a', { href: `v1/solutions/${id}` }, 'JSON'));
  }

  /** What is asked first: how hot, how far from a limit, from how much heat. Of a trial, what it changes. */
  #headline(parts) {
    const { solution, tried } = this, { peak } = solution, limited = parts.filter(({ marginKelvin }) => Number.isFinite(marginKelvin)).sort((a, b) => a.marginKelvin - b.marginKelvin)[0];
    const change = tried ? kelvin(tried.peakCelsius - peak.celsius, true) : '', heat = parts.reduce((sum, part) => sum + part.watts, 0);
    const figures = [['Peak', celsius(tried?.peakCelsius ?? peak.celsius), tried ? `${change} by the trial` : `on ${peak.layer}, ±\u00a0${kelvin(peak.gridErrorKelvin)} by the grid`],
      limited ? ['Least margin', kelvin(limited.marginKelvin), `${limited.id}, limit ${celsius(limited.limitCelsius)}`] : ['Least margin', '–', 'no part has a limit'],
      ['Heat', watts(tried ? heat : solution.heat.dissipatedWatts), `in air of ${celsius(this.#conditions().ambientCelsius)}`]];
    fill(byId('headline'), ...figures.map(([name, value, note], i) => h('div', {}, h('dt', {}, name), h('dd', { class: i === 1 && limited?.marginKelvin < 0 ? 'fail' : null }, value), h('dd', { class: 'quiet' }, note))));
  }

  #display() {
    const { solution } = this, isFace = this.layer.startsWith('^'), scale = state.get('scale'), isFixed = scale.includes(','), isCopper = !isFace && state.get('show') === 'copper';
    const select = (name, value, options, change) => h('label', { class: 'field' }, h('span', {}, name), h('select', { onchange: (event) => change(event.target.value) }, ...options.map(([key, text]) => h('option', { value: key, selected: key === value }, text))));
    const toggle = (name, key) => h('label', { class: 'check' }, h('input', { type: 'checkbox', checked: state.get(key) === '1', onchange: (event) => state.set({ [key]: event.target.checked ? '1' : '0' }) }), name);
    const { view } = this.map, end = (index) => h('input', { type: 'number', step: 'any', value: scale.split(',')[index], 'aria-label': index === 0 ? 'Lower end of the scale' : 'Upper end of the scale', onchange: (event) => {
      const ends = state.get('scale').split(',');
      ends[index] = event.target.value;
      if (Number(ends[0]) < Number(ends[1])) state.set({ scale: ends.join(',') });
    } });
    fill(byId('display'), h('fieldset', { class: 'display' }, h('legend', {}, 'Map'),
      isFace ? null : select('Shows', state.get('show'), quantities(solution, state.get('part')), (show) => state.set({ show }, { step: true })),
      isCopper ? null : select('Scale', isFixed ? 'fixed' : scale, [['board', 'whole board'], ['layer', 'this layer'], ['fixed', 'fixed']], (chosen) => state.set({ scale: chosen === 'fixed' ? this.map.ends.map((value) => Number(value.toPrecision(4))).join(',') : chosen })),
      isFixed ? h('div', { class: 'ends' }, end(0), ' to ', end(1)) : null,
      isCopper ? null : select('Colours', this.map.paletteName(this.layer), this.palettes.names.filter((name) => name !== this.palettes.usual.difference).map((name) => [name, { blueYellow: 'blue to yellow', grey: 'grey', warm: 'warm' }[name] ?? name]), (palette) => state.set({ palette })),
      toggle('Isotherms', 'iso'), toggle('Parts', 'outlines'),
      h('div', { class: 'buttons' }, h('button', { type: 'button', onclick: () => view.fit() }, 'Whole board'),
        h('button', { type: 'button', 'aria-pressed': view.drawing, onclick: () => {
          view.drawing = !view.drawing;
          this.#display();
        } }, view.drawing ? 'Draw on the map …' : 'Profile')),
      h('p', { class: 'links' }, 'Save ', ...this.#files().flatMap(([text, address], i) => [i > 0 ? ' ' : '', h('a', { href: address, download: '' }, text)]))));
  }

  #files() {
    const base = `v1/solutions/${id}`, [min, max] = this.map.ends ?? [0, 1], query = `width=1600&min=${min.toFixed(2)}&max=${max.toFixed(2)}`;
    if (this.layer === topFace || this.layer === bottomFace) return [['PNG', `${base}/views/${this.layer === topFace ? 'top' : 'bottom'}.png?width=1600`]];
    const layer = `${base}/layers/${encodeURIComponent(this.layer)}`;
    return [['PNG', `${layer}.png?${state.get('show') === 'temperature' ? query : 'width=1600'}`], ['CSV', `${layer}.csv`], ['NPY', `${layer}.npy`]];
  }

  async #profile() {
    const line = state.get('line').split(',').map(Number);
    this.map.line = line.length === 4 && line.every(Number.isFinite) ? line : null;
    this.map.refresh();
    if (!this.map.line) return fill(byId('profile'));
    const others = await Promise.all(this.solution.layers.map(async (layer) => ({ name: layer.name, field: await this.map.temperatures(layer.name, this.trials.tried ? this.trials : null) })));
    showProfile(byId('profile'), this.map.line, others, { pointed: (share) => {
      this.map.lineAt = share;
      this.map.refresh();
    }, moved: (moved) => state.set({ line: moved.join(',') }), closed: () => state.set({ line: '' }, { step: true }) });
  }

  #heat() {
    const { heat } = this.solution;
    const ways = [['Top', heat.topWatts], ['Bottom', heat.bottomWatts], ['Edges', heat.edgesWatts], ['Contacts', heat.contactsWatts], ['Bodies of parts', heat.partsWatts]].filter(([, value]) => Math.abs(value) > 1e-6);
    fill(byId('heat'), h('ul', { class: 'paths' }, ...ways.map(([name, value]) => h('li', {}, h('span', { class: 'path' }, h('span', {}, name), h('span', { class: 'n' }, `${watts(value)} (${number((100 * value) / heat.dissipatedWatts, 0)}\u00a0%)`),
      h('svg', { svg: true, class: 'bar', viewBox: '0 0 100 4', preserveAspectRatio: 'none', 'aria-hidden': 'true' }, h('rect', { svg: true, class: 'gone', width: Math.max(0, (100 * value) / heat.dissipatedWatts).toFixed(1), height: 4 })))))),
      ...(this.solution.warnings ?? []).map((text) => h('p', {}, '⚠ ', text)),
      ...['top', 'bottom', 'edges'].flatMap((side) => this.solution.surfaces[side].warnings.map((text) => h('p', { class: 'quiet' }, text))));
  }

  /** The title block, as on a drawing. */
  #block() {
    const { solution } = this, { accuracy } = solution, [min, max] = this.map.ends ?? [0, 1];
    const entries = [['Board', solution.name], ['Revision', solution.revision || '–'], ['Layer', viewName(this.layer)], ['Heat', watts(solution.heat.dissipatedWatts)],
      ['Scale', this.map.show === 'copper' ? 'nets' : `${number(min)} to ${number(max)} ${this.map.unit}`], ['Grid', `${number(accuracy.pitchMm, 3)} mm, error ≤ ${kelvin(accuracy.gridErrorKelvin)}`], ['Solution', h('span', { class: 'id' }, id.slice(0, 12))]];
    fill(byId('block'), ...entries.map(([name, value]) => h('div', {}, h('dt', {}, name), h('dd', {}, value))));
  }
}

