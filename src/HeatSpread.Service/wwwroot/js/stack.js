// The board's section as the way to choose a layer: its rows in their order, each copper row with its hottest temperature, the two outer faces at its ends.

import { h } from './dom.js';
import { celsius, number } from './words.js';

export const topFace = '^top', bottomFace = '^bottom';

/** The views from the top face to the bottom face. @param {any} solution @returns {string[]} */
export const viewsOf = (solution) => [topFace, ...solution.layers.map(({ name }) => name), bottomFace];

/** @param {string} view */
export const viewName = (view) => (view === topFace ? 'Top face' : view === bottomFace ? 'Bottom face' : view);

/**
 * @param {import('./plan.js').Plan} plan @param {any[]} layers As an answer has them, of which one is chosen.
 * @param {(view: string) => void} choose
 * @param {{faces?: boolean, figure?: (layer: any) => string}} [how] With the two outer faces; what to say of a layer.
 * @returns {HTMLElement}
 */
export function stackSection(plan, layers, choose, { faces = true, figure = ({ maxCelsius }) => celsius(maxCelsius) } = {}) {
  const copper = new Map(layers.map((layer) => [layer.name, layer]));
  const option = (view, text, value, note) => h('label', { class: view.startsWith('^') ? 'face' : 'layer' },
    h('input', { type: 'radio', name: 'layer', value: view, onchange: () => choose(view) }), h('span', { class: 'name' }, text), h('span', { class: 'figure', 'data-layer': view }, value), note ? h('span', { class: 'note' }, note) : null);
  const rows = plan.layout.stack.map((row) => {
    const layer = copper.get(row.name), thickness = `${number(row.thicknessUm, 0)} µm`;
    if (row.kind === 'copper' && layer) return option(row.name, row.name, figure(layer), Number.isFinite(layer.copperShare) ? `${thickness}, ${number(100 * layer.copperShare, 0)} % copper` : thickness);
    const kind = row.kind === 'mask' ? 'mask' : row.thicknessUm > 400 ? 'core' : 'dielectric';
    return h('div', { class: `row ${kind}`, title: `${row.name ?? row.material ?? row.kind}, ${thickness}` });
  });
  return h('fieldset', { class: 'stack' }, h('legend', {}, 'Section: choose a layer'), faces ? option(topFace, 'Top face', 'camera') : null, ...rows, faces ? option(bottomFace, 'Bottom face', 'camera') : null);
}

/** Marks the layer that is shown, and writes the temperatures of a trial. @param {HTMLElement} section @param {string} view @param {{name: string, maxCelsius: number}[]} layers */
export function updateStack(section, view, layers) {
  for (const input of section.querySelectorAll('input')) input.checked = input.value === view;
  for (const { name, maxCelsius } of layers) {
    const figure = section.querySelector(`[data-layer="${CSS.escape(name)}"]`);
    if (figure) figure.textContent = celsius(maxCelsius);
  }
}
