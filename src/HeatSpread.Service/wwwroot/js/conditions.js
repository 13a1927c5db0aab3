// What surrounds the board, as a form.

import { h } from './dom.js';
import { numberInput } from './numberinput.js';

const laws = { filmWattsPerM2K: 'Given film', stillAir: 'Still air', movingAir: 'Moving air' };
const usual = { filmWattsPerM2K: 10, stillAir: { orientation: 'vertical' }, movingAir: { metresPerSecond: 1, along: 'x' } };

/** Conditions of a board that hangs upright in still air. */
export const usualConditions = () => ({ ambientCelsius: 25, surfaces: { top: { stillAir: { orientation: 'vertical' }, emissivity: 0.9 }, bottom: { stillAir: { orientation: 'vertical' }, emissivity: 0.9 } } });

let forms = 0;

/** A form that edits the ambient and the two sides, and leaves all else of the conditions as it is. */
export class ConditionsForm {
  /**
   * @param {any} conditions
   * @param {(conditions: any) => void} changed
   * @param {() => void} [touched] Before the first change.
   */
  constructor(conditions, changed, touched) {
    this.conditions = structuredClone(conditions);
    this.changed = () => changed(structuredClone(this.conditions));
    this.name = `conditions${++forms}`;
    this.element = h('div', { class: 'conditions', onfocusin: () => touched?.() });
    this.#draw();
  }

  /** @param {any} conditions */
  show(conditions) {
    this.conditions = structuredClone(conditions);
    this.#draw();
  }

  #draw() {
    this.element.replaceChildren(this.#number('Ambient', '°C', this.conditions.ambientCelsius, { step: 1 }, (value) => (this.conditions.ambientCelsius = value)), this.#side('top', 'Top'), this.#side('bottom', 'Bottom'));
  }

  #side(side, title) {
    const surface = (this.conditions.surfaces ??= {})[side] ?? {}, law = Object.keys(laws).find((key) => key in surface) ?? 'filmWattsPerM2K';
    const put = (changes) => {
      this.conditions.surfaces[side] = { ...this.conditions.surfaces[side], ...changes };
    };
    const choose = (chosen) => {
      const kept = { ...surface };
      for (const key of Object.keys(laws)) delete kept[key];
      if (chosen === 'filmWattsPerM2K') for (const key of ['emissivity', 'surroundingsCelsius']) delete kept[key];
      this.conditions.surfaces[side] = { ...kept, [chosen]: structuredClone(usual[chosen]) };
      this.#draw();
      this.element.querySelector(`#${this.name}${side}`)?.focus();
      this.changed();
    };
    return h('div', { class: 'side' },
      h('label', { for: `${this.name}${side}` }, title), h('select', { id: `${this.name}${side}`, onchange: (event) => choose(event.target.value) }, ...Object.entries(laws).map(([key, text]) => h('option', { value: key, selected: key === law }, text))),
      law === 'filmWattsPerM2K' ? this.#number('Film', 'W/(m²·K)', surface.filmWattsPerM2K ?? 0, { step: 1, min: 0 }, (value) => put({ filmWattsPerM2K: value }), title) : null,
      law === 'stillAir' ? this.#choice(`${title} lies`, surface.stillAir.orientation, { vertical: 'upright', faceUp: 'facing up', faceDown: 'facing down' }, (value) => put({ stillAir: { orientation: value } })) : null,
      law === 'movingAir' ? this.#number('Speed', 'm/s', surface.movingAir.metresPerSecond, { step: 0.1, min: 0.01 }, (value) => put({ movingAir: { ...this.conditions.surfaces[side].movingAir, metresPerSecond: value } }), title) : null,
      law === 'movingAir' ? this.#choice(`${title} air along`, surface.movingAir.along, { x: 'x', y: 'y' }, (value) => put({ movingAir: { ...this.conditions.surfaces[side].movingAir, along: value } })) : null,
      law === 'filmWattsPerM2K' ? null : this.#number('Emissivity', '', surface.emissivity ?? 0.9, { step: 0.05, min: 0, max: 1 }, (value) => put({ emissivity: value }), title));
  }

  #number(name, unit, value, limits, put, whose = '') {
    const input = numberInput({ name: `${whose} ${name}${unit ? `, ${unit}` : ''}`.trim(), value, ...limits, changed: (next) => {
      put(next);
      this.changed();
    } });
    return h('label', { class: 'number' }, h('span', {}, name), input, h('span', { class: 'unit' }, unit));
  }

  #choice(name, value, options, put) {
    return h('select', { 'aria-label': name, onchange: (event) => {
      put(event.target.value);
      this.changed();
    } }, ...Object.entries(options).map(([key, text]) => h('option', { value: key, selected: key === value }, text)));
  }
}
