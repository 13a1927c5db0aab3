// What was recognised of the files, and a form to put it right.

import { fill, h } from './dom.js';
import { drawLayout } from './layoutdrawing.js';
import { number } from './words.js';

const mostParts = 60, mostRows = 14;
const stacks = { 2: [1500], 4: [200, 1000, 200], 6: [120, 400, 400, 400, 120] };

export class Recognised {
  /** @param {HTMLElement} place @param {any} given @param {() => void} again Recognises again after a change. */
  constructor(place, given, again) {
    Object.assign(this, { place, given, again });
    this.filter = '';
  }

  /** @param {any} preview */
  show(preview) {
    this.preview = preview;
    const { layout, layers, summary, warnings, nets } = preview, isLayerKnown = layers.some(({ name }) => name === this.layer);
    if (!isLayerKnown) this.layer = layers[0]?.name;
    this.canvas = h('canvas', { class: 'drawing', role: 'img', 'aria-label': `Copper of ${this.layer} as recognised` });
    fill(this.place,
      h('p', {}, `${number(summary.outlineMm2, 0)} mm² of board, ${layers.length} copper layers, ${summary.nets} nets, ${preview.parts.length} parts, ${summary.holes.reduce((sum, { count }) => sum + count, 0)} holes.`),
      warnings.length > 0 ? h('details', { open: warnings.length < 8 }, h('summary', {}, `${warnings.length} things were guessed, skipped or repaired`), h('ul', {}, ...warnings.map((text) => h('li', {}, text)))) : null,
      h('div', { class: 'columns' },
        h('div', {}, h('h3', {}, 'Layers, top to bottom'), this.#layers(layers), this.#stack(layout.stack), this.#files(layout),
          h('details', {}, h('summary', {}, `${nets.length} nets`), h('p', {}, nets.slice(0, 400).join(', ')))),
        h('div', {}, this.canvas)),
      h('h3', {}, 'Parts and their watts'), this.#parts(preview.parts));
    requestAnimationFrame(() => this.#draw());
  }

  /** The files were refused: what a form can mend is offered. @param {any} fault */
  mend(fault) {
    this.preview = null;
    const isStack = fault.errors.some(({ pointer, detail }) => pointer.startsWith('/stack') || /stack/i.test(detail));
    fill(this.place, isStack || this.given.description.stack ? this.#stack(this.given.description.stack ?? []) : null, this.#files({ stack: this.given.description.stack ?? [] }));
    if (!this.place.firstChild) fill(this.place, h('p', { class: 'quiet' }, 'Nothing: see the faults above.'));
  }

  #draw() {
    if (this.preview) drawLayout(this.canvas, this.preview.layout, this.layer, { chosen: this.chosen });
  }

  #layers(layers) {
    return h('table', {}, h('thead', {}, h('tr', {}, ...['Layer', 'File', 'µm', 'Copper, mm²'].map((text, i) => h('th', { scope: 'col', class: i > 1 ? 'n' : null }, text)))),
      h('tbody', {}, ...layers.map((layer) => h('tr', {}, h('th', { scope: 'row' }, h('label', { class: 'check' }, h('input', { type: 'radio', name: 'drawn', checked: layer.name === this.layer, onchange: () => {
        this.layer = layer.name;
        this.canvas.setAttribute('aria-label', `Copper of ${layer.name} as recognised`);
        this.#draw();
      } }), layer.name)), h('td', {}, layer.file ?? '–'), h('td', { class: 'n' }, number(layer.thicknessUm, 0)), h('td', { class: 'n' }, number(layer.copperMm2, 0))))));
  }

  /** The stack as rows that can be changed; of fabrication files only. */
  #stack(stack) {
    if (this.given.text !== null) return null;
    const rows = structuredClone(stack), change = () => {
      this.given.description.stack = rows;
      this.again();
    };
    const field = (row, key, name, type) => h('input', { type, value: row[key] ?? '', 'aria-label': name, step: 'any', size: 10, onchange: (event) => {
      row[key] = type === 'number' ? Number(event.target.value) : event.target.value || undefined;
      change();
    } });
    return h('details', { open: stack.length <= mostRows }, h('summary', {}, 'The stack'),
      stack.length === 0 ? h('p', {}, 'The files do not say it. ', ...Object.keys(stacks).map((count) => h('button', { type: 'button', onclick: () => {
        this.given.description.stack = usualStack(Number(count));
        this.again();
      } }, `${count} copper layers`))) : null,
      h('table', {}, h('thead', {}, h('tr', {}, ...['Row', 'Name', 'µm', 'Material'].map((text) => h('th', { scope: 'col' }, text)))), h('tbody', {}, ...rows.map((row, i) => h('tr', {}, h('td', {}, row.kind),
        h('td', {}, row.kind === 'copper' ? field(row, 'name', `Name of row ${i + 1}`, 'text') : (row.name ?? '–')), h('td', {}, field(row, 'thicknessUm', `Thickness of row ${i + 1}, µm`, 'number')), h('td', {}, row.kind === 'dielectric' ? field(row, 'material', `Material of row ${i + 1}`, 'text') : '–'))))));
  }

  /** What each file is, where the service was mistaken. */
  #files(layout) {
    const { given } = this;
    if (given.names.length === 0) return null;
    const copper = layout.stack.filter(({ kind }) => kind === 'copper').map(({ name }) => name), found = new Map((this.preview?.layers ?? []).filter(({ file }) => file).map(({ name, file }) => [file.split('/').at(-1), name]));
    const roles = [['', 'as recognised'], ...copper.map((name) => [`layer:${name}`, `copper ${name}`]), ['profile', 'outline'], ['plated', 'holes, plated'], ['bare', 'holes, not plated']];
    const roleOf = ({ layer, profile, drill }) => (layer ? `layer:${layer}` : profile ? 'profile' : drill ? (drill.plated === false ? 'bare' : 'plated') : '');
    const entry = (file, role) => (role.startsWith('layer:') ? { file, layer: role.slice(6) } : role === 'profile' ? { file, profile: true } : { file, drill: { from: copper[0], to: copper.at(-1), plated: role === 'plated' } });
    return h('details', {}, h('summary', {}, `${given.names.length} files`), h('table', {}, h('tbody', {}, ...given.names.map((file) => {
      const said = (given.description.files ?? []).find((each) => each.file === file);
      return h('tr', {}, h('th', { scope: 'row' }, file), h('td', { class: 'quiet' }, found.get(file) ?? ''), h('td', {}, h('select', { 'aria-label': `What ${file} is`, onchange: (event) => {
        const others = (given.description.files ?? []).filter((each) => each.file !== file), files = event.target.value ? [...others, entry(file, event.target.value)] : others;
        given.description.files = files.length > 0 ? files : undefined;
        this.again();
      } }, ...roles.map(([key, text]) => h('option', { value: key, selected: key === (said ? roleOf(said) : '') }, text)))));
    }))));
  }

  #parts(parts) {
    const body = h('tbody'), list = () => {
      const wanted = parts.filter(({ id }) => id.toLowerCase().includes(this.filter.toLowerCase())).sort((a, b) => (b.watts ?? 0) - (a.watts ?? 0));
      fill(body, ...wanted.slice(0, mostParts).map((part) => this.#part(part)), wanted.length > mostParts ? h('tr', {}, h('td', { colspan: 5, class: 'quiet' }, `${wanted.length - mostParts} more: narrow the list down.`)) : null);
    };
    list();
    const table = h('table', { class: 'fit' }, h('thead', {}, h('tr', {}, ...['Part', 'Side', 'Terminals', 'Watts', 'Limit, °C'].map((text) => h('th', { scope: 'col', class: text === 'Terminals' ? 'n' : null }, text)))), body);
    return h('div', {}, parts.length > 12 ? h('label', { class: 'number' }, h('span', {}, 'Find'), h('input', { type: 'search', value: this.filter, oninput: (event) => {
      this.filter = event.target.value;
      list();
    } })) : null, table);
  }

  #part(part) {
    const known = this.preview.layout.parts?.find(({ id }) => id === part.id);
    const field = (key, name, value) => h('input', { type: 'number', min: key === 'watts' ? 0 : null, step: 'any', value: value ?? '', 'aria-label': `${name} of ${part.id}`, placeholder: key === 'watts' ? '0' : 'none', onfocus: () => {
      this.chosen = part.id;
      this.#draw();
    }, onchange: (event) => this.#set(part.id, key, event.target.value) });
    return h('tr', {}, h('th', { scope: 'row' }, part.id), h('td', {}, part.side ?? '–'), h('td', { class: 'n' }, String(part.terminals)), h('td', {}, field('watts', 'Watts', part.watts || '')), h('td', {}, field('limitCelsius', 'Limit', known?.limitCelsius)));
  }

  #set(id, key, text) {
    const value = text === '' ? undefined : Number(text), { given } = this;
    if (given.text !== null) {
      const layout = JSON.parse(given.text), part = layout.parts?.find((each) => each.id === id);
      if (part) part[key] = key === 'watts' ? value ?? 0 : value;
      Object.assign(given, { text: JSON.stringify(layout, null, 2), source: null });
    } else {
      const parts = (given.description.parts ??= []), part = parts.find((each) => each.id === id) ?? parts[parts.push({ id }) - 1];
      part[key] = value;
    }
    this.again();
  }
}

function usualStack(count) {
  const rows = [{ kind: 'copper', name: 'L1', thicknessUm: 35 }];
  stacks[count].forEach((thicknessUm, i) => rows.push({ kind: 'dielectric', thicknessUm, material: 'fr4' }, { kind: 'copper', name: `L${i + 2}`, thicknessUm: 35 }));
  return rows;
}
