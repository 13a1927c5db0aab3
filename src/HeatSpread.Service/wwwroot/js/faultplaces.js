// Which geometry of a layout a JSON Pointer leads to, and what of a faulty layout can be drawn all the same.

import { placesOf } from './plan.js';

/** @typedef {{lines: number[][][], layer: string|null}} Place Rings, paths and single points in the layout's unit; the copper layer they lie on, null: all. */

const geometryKeys = ['coordinates', 'path', 'at', 'area', 'track', 'body', 'pad', 'terminals'];

const isPoint = (value) => Array.isArray(value) && value.length >= 2 && value.slice(0, 2).every((each) => typeof each === 'number' && Number.isFinite(each));

/** The lists of points in nested arrays. @param {any} value @returns {number[][][]} */
function linesOf(value) {
  if (isPoint(value)) return [[value]];
  if (!Array.isArray(value)) return [];
  return value.some(isPoint) ? [value.filter(isPoint)] : value.flatMap(linesOf);
}

/** All geometry within a part of a document. @param {any} value @returns {number[][][]} */
function geometryIn(value) {
  if (value === null || typeof value !== 'object') return [];
  if (Array.isArray(value)) return value.some((each) => each !== null && typeof each === 'object' && !Array.isArray(each)) ? value.flatMap(geometryIn) : linesOf(value);
  const own = geometryKeys.flatMap((key) => geometryIn(value[key]));
  return own.length > 0 || !value.array ? own : linesOf(placesOf(value)).flatMap((line) => line.map((place) => [place]));
}

/**
 * The geometry that a pointer leads into, or that of what it is said of.
 * @param {any} layout @param {string} pointer RFC 6901
 * @returns {Place|null} Null where there is none, as for a row of the stack.
 */
export function geometryAt(layout, pointer) {
  const steps = pointer.split('/').slice(1).map((step) => step.replaceAll('~1', '/').replaceAll('~0', '~')), values = [layout];
  for (const step of steps) values.push(values.at(-1)?.[step]);
  const least = steps[0] === 'outline' ? 1 : 2; // a whole section is no place
  for (let depth = values.length - 1; depth >= least; depth--) {
    const lines = geometryIn(values[depth]);
    if (lines.length > 0) return { lines, layer: layerOf(layout, steps[0], values[2]) };
  }
  return null;
}

function layerOf(layout, section, feature) {
  const copper = copperNames(layout);
  if (section === 'parts') return (feature?.side === 'bottom' ? copper.at(-1) : copper[0]) ?? null;
  return copper.includes(feature?.layer) ? feature.layer : null;
}

/** @param {any} layout @returns {string[]} */
export const copperNames = (layout) => list(layout.stack).filter((row) => row?.kind === 'copper' && typeof row.name === 'string').map(({ name }) => name);

const list = (value) => (Array.isArray(value) ? value : []);

const polygon = (geometry) => ({ type: 'Polygon', coordinates: linesOf(geometry?.coordinates).filter((ring) => ring.length > 2) });

const atLeast = (value, least) => (Number.isFinite(value) && value > least ? value : 0);

/** A copy with what has a shape, and nothing else; null where nothing bounds it. @param {any} layout */
export function drawable(layout) {
  if (layout === null || typeof layout !== 'object') return null;
  const copper = list(layout.copper).flatMap((feature) => {
    const area = polygon(feature?.area), path = linesOf(feature?.track?.path)[0] ?? [], width = atLeast(feature?.track?.width, 0);
    const shape = area.coordinates.length > 0 ? { area } : path.length > 1 && width > 0 ? { track: { path, width } } : null;
    return shape ? [{ layer: feature.layer, net: feature.net, clear: feature.clear === true, clearance: atLeast(feature.clearance, 0), ...shape }] : [];
  });
  const vias = list(layout.vias).flatMap((via) => {
    const at = geometryIn(via).flat(), drill = atLeast(via?.drill, 0), pad = atLeast(via?.pad, 0) || drill;
    return at.length > 0 && pad > 0 ? [{ net: via.net, from: via.from, to: via.to, drill, pad, clearance: atLeast(via.clearance, 0), at }] : [];
  });
  const parts = list(layout.parts).filter((part) => part !== null && typeof part === 'object').map((part, i) => ({ id: String(part.id ?? i), side: part.side, body: polygon(part.body), terminals: list(part.terminals).map((terminal) => ({ pad: polygon(terminal?.pad) })) }))
    .filter(({ body, terminals }) => body.coordinates.length > 0 || terminals.some(({ pad }) => pad.coordinates.length > 0));
  const outline = polygon(layout.outline), points = (outline.coordinates.length > 0 ? outline.coordinates : geometryIn(copper)).flat();
  return points.length > 2 ? { unit: layout.unit, stack: copperNames(layout).map((name) => ({ kind: 'copper', name })), outline, copper, vias, parts, points } : null;
}
