// The head that all pages share.

import { byId, fill, h } from './dom.js';

const pages = [['./', 'Boards'], ['new.html', 'New board'], ['studies.html', 'Studies'], ['openapi/v1.json', 'API']];

/** Fills the page's head. @param {string} here Address of the page. */
export function header(here) {
  fill(byId('head'), h('a', { class: 'brand', href: './' }, h('img', { src: 'icon.svg', alt: '', width: 24, height: 24 }), 'HeatSpread'),
    h('nav', { 'aria-label': 'Pages' }, ...pages.map(([address, text]) => h('a', { href: address, 'aria-current': address === here ? 'page' : null }, text))));
}

/** Tells of a fault in the page's own place for it. @param {HTMLElement} place @param {any} fault */
export function showFault(place, fault) {
  fill(place, h('div', { class: 'fault', role: 'alert' }, h('strong', {}, fault.message), fault.errors?.length ? h('ul', {}, ...fault.errors.map(({ pointer, detail }) => h('li', {}, h('code', {}, pointer || '/'), ` ${detail}`))) : null));
}
