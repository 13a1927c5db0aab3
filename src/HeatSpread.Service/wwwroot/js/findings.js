// Why it is hot, and where it is hottest: lists whose entries are places on the map.

import { fill, h, seen } from './dom.js';
import { celsius, kelvin, kindName } from './words.js';

/** @param {HTMLElement} place @param {any[]} findings @param {number} selected @param {(index: number) => void} choose */
export function showFindings(place, findings, selected, choose) {
  if (findings.length === 0) return fill(place, h('p', { class: 'quiet' }, 'Nothing in the layout stands out as a cause.'));
  fill(place, h('ol', { class: 'findings' }, ...findings.map((finding, index) => h('li', { class: index === selected ? 'chosen' : null },
    h('button', { type: 'button', class: 'plain finding', 'aria-pressed': index === selected, 'data-finding': index, onclick: () => choose(index === selected ? -1 : index) },
      h('span', { class: 'no' }, String(index + 1)),
      h('span', { class: 'kind' }, kindName(finding.kind), finding.layer ? ` · ${finding.layer}` : null),
      finding.gainKelvin === null ? null : h('span', { class: 'gain' }, `${finding.part ?? ''} ${kelvin(-finding.gainKelvin, true)}${finding.checked ? '' : ' (estimate)'}`),
      h('span', { class: 'text' }, finding.text))))));
  seen(place, place.querySelector('.chosen'));
}

/** @param {HTMLElement} place @param {any[]} hotspots @param {number} selected Rank. @param {(rank: number) => void} choose */
export function showHotSpots(place, hotspots, selected, choose) {
  fill(place, h('ol', { class: 'spots' }, ...hotspots.map((spot) => h('li', {},
    h('button', { type: 'button', 'aria-pressed': spot.rank === selected, onclick: () => choose(spot.rank === selected ? 0 : spot.rank) },
      `${celsius(spot.celsius)} on ${spot.layer}`, h('span', { class: 'quiet' }, [spot.part, spot.net].filter(Boolean).map((name) => ` ${name}`).join(',')))))));
}

/** Box about a finding's place, mm. @param {import('./plan.js').Plan} plan @param {number[][]} places */
export function boxAround(plan, places) {
  const points = places.map((place) => plan.point(place)), spare = 2;
  return {
    minX: Math.min(...points.map(([x]) => x)) - spare, minY: Math.min(...points.map(([, y]) => y)) - spare,
    maxX: Math.max(...points.map(([x]) => x)) + spare, maxY: Math.max(...points.map(([, y]) => y)) + spare,
  };
}
