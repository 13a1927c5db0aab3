// The copper of a layer drawn from a layout that the service does not hold yet: in the order of painting, with what clears what.

import { Plan, boxOf, pathOf, placesOf } from './plan.js';

/** @typedef {{path: Path2D, stroke: number, box: number[], net: string|undefined, clear: boolean, clearance: number}} Feature mm; `stroke` 0: filled. */

/**
 * @param {HTMLCanvasElement} canvas @param {any} layout Of a preview.
 * @param {string} layer @param {{chosen?: string, box?: import('./plan.js').Box, marked?: {lines: number[][][], isChosen: boolean}[]}} [how]
 * A part that stands out; what is shown and geometry that is marked, both in the layout's unit.
 * @returns {(place: number[]) => number[]} From a place of the layout to shares of the canvas's width and height.
 */
export function drawLayout(canvas, layout, layer, { chosen, box, marked = [] } = {}) {
  const plan = new Plan({ unit: layout.unit ?? 'mm', netNames: [], layout }), { minX, minY, maxX, maxY } = box ? boxOf([[plan.point([box.minX, box.minY]), plan.point([box.maxX, box.maxY])]]) : plan.box;
  const width = Math.min(1400, Math.max(300, Math.round((canvas.clientWidth || 600) * (window.devicePixelRatio || 1)))), scale = (width - 16) / (maxX - minX);
  [canvas.width, canvas.height] = [width, Math.round((maxY - minY) * scale) + 16];
  const copper = document.createElement('canvas');
  [copper.width, copper.height] = [canvas.width, canvas.height];
  const placed = (ctx) => ctx.setTransform(scale, 0, 0, -scale, 8 - minX * scale, canvas.height - 8 + minY * scale);
  const ink = copper.getContext('2d', { willReadFrequently: true }), ctx = /** @type {CanvasRenderingContext2D} */ (canvas.getContext('2d'));
  placed(ink);
  const hues = new Map();
  for (const feature of featuresOf(layout, layer, plan)) paint(ink, feature, colourOf(hues, feature.net));
  ctx.save();
  placed(ctx);
  ctx.fillStyle = '#e4e0d6';
  ctx.fill(plan.outline, 'evenodd');
  ctx.save();
  ctx.clip(plan.outline, 'evenodd');
  ctx.setTransform(1, 0, 0, 1, 0, 0);
  ctx.drawImage(copper, 0, 0);
  ctx.restore();
  placed(ctx);
  outlines(ctx, plan, scale, chosen);
  for (const { lines, isChosen } of marked) drawMarked(ctx, lines.map((line) => line.map((place) => plan.point(place))), isChosen, scale);
  ctx.restore();
  return (place) => {
    const [x, y] = plan.point(place);
    return [(8 + (x - minX) * scale) / canvas.width, (canvas.height - 8 - (y - minY) * scale) / canvas.height];
  };
}

/** Geometry with a fault: its line twice, so that it shows on any copper; a single place as a ring. */
function drawMarked(ctx, lines, isChosen, scale) {
  const path = new Path2D(), radius = 9 / scale;
  for (const line of lines) {
    if (line.length > 1) line.forEach(([x, y], i) => (i === 0 ? path.moveTo(x, y) : path.lineTo(x, y)));
    else {
      path.moveTo(line[0][0] + radius, line[0][1]);
      path.arc(line[0][0], line[0][1], radius, 0, 7);
    }
  }
  ctx.lineJoin = ctx.lineCap = 'round';
  for (const [colour, width] of [['#fff', isChosen ? 9 : 5], ['#b3201a', isChosen ? 5 : 2.5]]) {
    ctx.strokeStyle = colour;
    ctx.lineWidth = width / scale;
    ctx.stroke(path);
  }
}

function outlines(ctx, plan, scale, chosen) {
  ctx.strokeStyle = '#2a2f33';
  ctx.lineWidth = 1.5 / scale;
  ctx.stroke(plan.outline);
  for (const part of plan.parts) {
    const isChosen = part.id === chosen;
    ctx.strokeStyle = isChosen ? '#8a3f12' : '#2a2f33';
    ctx.lineWidth = (isChosen ? 4 : 1) / scale;
    ctx.stroke(part.body ?? part.pads);
    if (!isChosen && (part.box.maxX - part.box.minX) * scale < 9 * part.id.length) continue;
    ctx.save();
    ctx.translate((part.box.minX + part.box.maxX) / 2, (part.box.minY + part.box.maxY) / 2);
    ctx.scale(1 / scale, -1 / scale);
    ctx.font = '600 12px system-ui, sans-serif';
    ctx.textAlign = 'center';
    ctx.textBaseline = 'middle';
    ctx.lineWidth = 3;
    ctx.strokeStyle = '#fff';
    ctx.fillStyle = '#191d20';
    ctx.strokeText(part.id, 0, 0);
    ctx.fillText(part.id, 0, 0);
    ctx.restore();
  }
}

/** @param {any} layout @param {string} layer @param {Plan} plan @returns {Generator<Feature>} */
function* featuresOf(layout, layer, plan) {
  const { scale } = plan, names = layout.stack.filter(({ kind }) => kind === 'copper').map(({ name }) => name), at = names.indexOf(layer);
  for (const { layer: on, net, area, track, clear = false, clearance = 0 } of layout.copper ?? []) {
    if (on !== layer) continue;
    const rings = area ? plan.rings(area) : [track.path.map((place) => plan.point(place))], path = area ? pathOf(rings) : lineOf(rings[0]);
    yield { path, stroke: area ? 0 : track.width * scale, box: boundsOf(rings), net, clear, clearance: clearance * scale };
  }
  for (const via of layout.vias ?? []) {
    const from = via.from ? names.indexOf(via.from) : 0, to = via.to ? names.indexOf(via.to) : names.length - 1;
    if (at < from || at > to) continue;
    for (const place of placesOf(via)) {
      const [x, y] = plan.point(place), radius = ((via.pad ?? via.drill) / 2) * scale, path = new Path2D();
      path.arc(x, y, radius, 0, 7);
      yield { path, stroke: 0, box: [x - radius, y - radius, x + radius, y + radius], net: via.net, clear: false, clearance: (via.clearance ?? 0) * scale };
    }
  }
}

const lineOf = (places) => {
  const path = new Path2D();
  places.forEach(([x, y], i) => (i === 0 ? path.moveTo(x, y) : path.lineTo(x, y)));
  return path;
};

const boundsOf = (rings) => rings.flat().reduce(([a, b, c, d], [x, y]) => [Math.min(a, x), Math.min(b, y), Math.max(c, x), Math.max(d, y)], [Infinity, Infinity, -Infinity, -Infinity]);

/** What is cleared about a feature is other nets' copper: pixels of its own colour are put back. */
function paint(ctx, { path, stroke, box, clear, clearance }, colour) {
  ctx.lineJoin = ctx.lineCap = 'round';
  const put = (grow) => {
    if (stroke === 0) ctx.fill(path, 'evenodd');
    if (stroke + 2 * grow > 0) {
      ctx.lineWidth = stroke + 2 * grow;
      ctx.stroke(path);
    }
  };
  if (clearance > 0 && !clear) {
    const [x, y, width, height] = pixels(ctx, box, clearance + stroke / 2), before = ctx.getImageData(x, y, width, height);
    ctx.globalCompositeOperation = 'destination-out';
    put(clearance);
    ctx.globalCompositeOperation = 'source-over';
    const after = ctx.getImageData(x, y, width, height), own = colour.rgb;
    for (let i = 0; i < before.data.length; i += 4) if (before.data[i] === own[0] && before.data[i + 1] === own[1] && before.data[i + 2] === own[2]) after.data.set(before.data.subarray(i, i + 4), i);
    ctx.putImageData(after, x, y);
  }
  ctx.globalCompositeOperation = clear ? 'destination-out' : 'source-over';
  ctx.fillStyle = ctx.strokeStyle = colour.css;
  put(0);
  ctx.globalCompositeOperation = 'source-over';
}

function pixels(ctx, [x1, y1, x2, y2], spare) {
  const matrix = ctx.getTransform(), low = matrix.transformPoint(new DOMPoint(x1 - spare, y2 + spare)), high = matrix.transformPoint(new DOMPoint(x2 + spare, y1 - spare));
  const left = Math.max(0, Math.floor(low.x) - 1), top = Math.max(0, Math.floor(low.y) - 1);
  return [left, top, Math.max(1, Math.min(ctx.canvas.width, Math.ceil(high.x) + 1) - left), Math.max(1, Math.min(ctx.canvas.height, Math.ceil(high.y) + 1) - top)];
}

function colourOf(hues, net) {
  const key = net ?? '';
  if (!hues.has(key)) {
    const hue = (hues.size * 137.508) % 360, channel = (shift) => Math.round(150 + 62 * Math.cos(((hue - shift) * Math.PI) / 180)), rgb = [channel(0), channel(120), channel(240)];
    hues.set(key, { rgb, css: `rgb(${rgb.join(' ')})` });
  }
  return hues.get(key);
}
