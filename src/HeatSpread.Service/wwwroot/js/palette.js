// The colour scales of the service, ready for painting. The service is their one source, so that a picture in a report has the colours of this page.

import { read } from './api.js';

const steps = 1024;

/**
 * @typedef {{name: string, colours: Uint32Array, inks: Uint32Array, faded: Uint32Array, css: (fraction: number) => string}} Palette
 * `colours`, `inks` (a line that shows on the colour) and `faded` are 0xAABBGGRR, which is RGBA in memory.
 */

/** @returns {Promise<{usual: {temperature: string, camera: string, difference: string}, names: string[], find: (name: string) => Palette}>} */
export async function loadPalettes() {
  const answer = await read('v1/palettes');
  const made = new Map(answer.palettes.map(({ name, colours }) => [name, prepared(name, colours)]));
  return { usual: answer, names: [...made.keys()], find: (name) => made.get(name) ?? made.get(answer.temperature) };
}

function prepared(name, hexes) {
  const stops = hexes.map((hex) => [0, 2, 4].map((at) => parseInt(hex.slice(at, at + 2), 16)));
  const at = (fraction) => {
    const place = Math.min(Math.max(fraction, 0), 1) * (stops.length - 1), low = Math.min(Math.floor(place), stops.length - 2), share = place - low;
    return stops[low].map((value, channel) => value + (stops[low + 1][channel] - value) * share);
  };
  const all = Array.from({ length: steps }, (_, i) => at(i / (steps - 1)));
  return {
    name,
    colours: Uint32Array.from(all, packed),
    inks: Uint32Array.from(all, (colour) => packed(mixed(colour, isDark(colour) ? [255, 255, 255] : [0, 0, 0], 0.5))),
    faded: Uint32Array.from(all, (colour) => packed(mixed(colour, [128, 128, 128], 0.72))),
    css: (fraction) => `rgb(${at(fraction).map(Math.round).join(' ')})`,
  };
}

const mixed = (colour, other, share) => colour.map((value, channel) => value + (other[channel] - value) * share);

const isDark = ([red, green, blue]) => 0.299 * red + 0.587 * green + 0.114 * blue < 120;

/** @param {number[]} rgb */
export const packed = ([red, green, blue]) => ((255 << 24) | (Math.round(blue) << 16) | (Math.round(green) << 8) | Math.round(red)) >>> 0;
