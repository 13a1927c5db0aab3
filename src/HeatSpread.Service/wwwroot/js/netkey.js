// The nets of a layer with their colours: a key that lights a net.

import { h } from './dom.js';

const mostShown = 24;

/**
 * @param {import('./copper.js').OwnerRaster} owners Of the whole layer. @param {string[]} names Of nets by number.
 * @param {(owner: number) => string} colourOf CSS. @param {string|null} lit @param {(net: string|null) => void} light
 * @returns {HTMLElement} The largest nets first.
 */
export function netKey(owners, names, colourOf, lit, light) {
  const counts = new Uint32Array(names.length + 2);
  for (const owner of owners.owners) counts[owner]++;
  const shown = [...names.keys()].filter((net) => counts[net + 2] > 0).sort((a, b) => counts[b + 2] - counts[a + 2]);
  return h('ul', { class: 'nets', 'aria-label': 'Nets on this layer' }, ...shown.slice(0, mostShown).map((net) => {
    const chip = h('span', { class: 'chip' }), name = names[net];
    chip.style.background = colourOf(net + 2);
    return h('li', {}, h('button', { type: 'button', class: 'plain', 'aria-pressed': name === lit, onclick: () => light(name === lit ? null : name) }, chip, name));
  }), shown.length > mostShown ? h('li', { class: 'quiet' }, `and ${shown.length - mostShown} more`) : null);
}
