// Marks over a map: parts, hot spots, findings, changes, a drawn line.

import { number } from './words.js';

const halo = 'rgba(255, 255, 255, 0.92)', ink = '#14181b';

/** Strokes a path twice, so that it shows on any colour. @param {CanvasRenderingContext2D} ctx @param {Path2D} path @param {number} width @param {string} [colour] */
export function strokeTwice(ctx, path, width, colour = ink) {
  ctx.lineJoin = ctx.lineCap = 'round';
  for (const [stroke, times] of /** @type {[string, number][]} */ ([[halo, 2.4], [colour, 1]])) {
    ctx.strokeStyle = stroke;
    ctx.lineWidth = width * times;
    ctx.stroke(path);
  }
}

const partsOn = (plan, side, selected) => plan.parts.filter((part) => !side || part.side === side || part.id === selected);

/** Outlines of the parts on a side (null: both), and the pads of all. */
export function drawParts(ctx, view, plan, { side, selected }) {
  view.inPlan((planned) => {
    for (const part of partsOn(plan, side, selected)) {
      planned.lineWidth = 0.8 / view.scale;
      planned.strokeStyle = 'rgba(255, 255, 255, 0.55)';
      if (view.scale > 6) planned.stroke(part.pads);
      if (part.body) {
        planned.strokeStyle = 'rgba(20, 24, 27, 0.75)';
        planned.lineWidth = 1.6 / view.scale;
        planned.stroke(part.body);
        planned.strokeStyle = 'rgba(255, 255, 255, 0.85)';
        planned.lineWidth = 0.7 / view.scale;
        planned.stroke(part.body);
      }
    }
    const part = plan.parts.find(({ id }) => id === selected);
    if (part) strokeTwice(planned, part.body ?? part.pads, 2.4 / view.scale);
  });
}

/** Names of the parts, within them where there is room, else beside small ones; the larger parts first. @param {import('./labels.js').Labels} labels */
export function namePartsOn(labels, view, plan, { side, selected }) {
  const size = ({ box }) => (box.maxX - box.minX) * (box.maxY - box.minY);
  for (const { id, box } of partsOn(plan, side, selected).sort((a, b) => Number(b.id === selected) - Number(a.id === selected) || size(b) - size(a))) {
    const [x, y] = view.toScreen((box.minX + box.maxX) / 2, (box.minY + box.maxY) / 2), halfWide = ((box.maxX - box.minX) * view.scale) / 2, halfHigh = ((box.maxY - box.minY) * view.scale) / 2;
    if (Math.max(halfWide, halfHigh) < 5 && id !== selected) continue;
    const half = 3.5 * id.length + 6, within = [0.5, -0.5, 0.8, -0.8].map((share) => [x, y + share * (halfHigh - 8)]);
    labels.write(id, [...(halfWide > half - 6 || halfHigh > 12 ? [[x, y], ...within] : []), [x, y - halfHigh - 9], [x, y + halfHigh + 9], [x + halfWide + half, y], [x - halfWide - half, y]], id === selected);
  }
}

/** Rings. @param {import('./labels.js').Labels} labels */
export function drawHotSpots(ctx, labels, view, plan, hotspots, layer, selected) {
  for (const spot of hotspots) {
    if (spot.layer !== layer) continue;
    const ring = new Path2D(), [x, y] = view.toScreen(...plan.point(spot.at));
    ring.arc(x, y, 7, 0, 7);
    strokeTwice(ctx, ring, spot.rank === selected ? 3 : 1.6);
    labels.keep(x, y, 16, 16);
  }
}

/** The temperatures of hot spots beside their rings. @param {import('./labels.js').Labels} labels */
export function nameHotSpots(labels, view, plan, hotspots, layer) {
  for (const spot of hotspots) {
    if (spot.layer !== layer) continue;
    const [x, y] = view.toScreen(...plan.point(spot.at));
    labels.write(`${number(spot.celsius, 0)}°`, [[x + 24, y], [x, y + 17], [x, y - 17], [x - 24, y], [x + 22, y + 14], [x - 22, y + 14]]);
  }
}

/** The line or the places of each finding of the layer; the chosen one stands out. @param {import('./labels.js').Labels} labels */
export function drawFindings(ctx, labels, view, plan, findings, layer, selected) {
  findings.forEach((finding, index) => {
    const isChosen = index === selected;
    if ((finding.layer && finding.layer !== layer && !isChosen) || finding.path.length === 0) return;
    const path = new Path2D(), places = finding.path.map((place) => view.toScreen(...plan.point(place)));
    if (places.length === 1) path.arc(places[0][0], places[0][1], 9, 0, 7);
    else if (finding.kind === 'planeCut') places.forEach(([x, y], i) => (i === 0 ? path.moveTo(x, y) : path.lineTo(x, y)));
    else places.forEach(([x, y]) => { path.moveTo(x + 4, y); path.arc(x, y, 4, 0, 7); });
    ctx.setLineDash(isChosen ? [] : [5, 4]);
    strokeTwice(ctx, path, isChosen ? 3.2 : 1.8);
    ctx.setLineDash([]);
    const middle = Math.floor(places.length / 2), along = [middle, ...places.keys()].map((i) => places[i]);
    labels.tag(String(index + 1), [...along.map(([x, y]) => [x, y + 14]), ...along.map(([x, y]) => [x, y - 14]), ...along.map(([x, y]) => [x - 16, y]), ...along.map(([x, y]) => [x + 16, y])], isChosen);
  });
}

/** Lines of equal temperature. */
export function drawIsotherms(view, lines) {
  view.inPlan((planned) => {
    for (const { path } of lines) {
      planned.strokeStyle = 'rgba(255, 255, 255, 0.75)';
      planned.lineWidth = 1.8 / view.scale;
      planned.stroke(path);
      planned.strokeStyle = 'rgba(20, 24, 27, 0.85)';
      planned.lineWidth = 0.8 / view.scale;
      planned.stroke(path);
    }
  });
}

/** Their values, a few on each, apart from each other. @param {import('./labels.js').Labels} labels */
export function nameIsotherms(labels, view, lines, unit) {
  const named = [];
  for (const { level, middles } of lines) {
    let placed = 0;
    for (let i = 0; i < middles.length && placed < 3; i += 7) {
      const [x, y] = view.toScreen(...middles[i]);
      if (named.some(([tx, ty]) => Math.hypot(tx - x, ty - y) < 70) || !labels.write(`${Number(level.toPrecision(6))}${unit}`, [[x, y]])) continue;
      named.push([x, y]);
      placed++;
    }
  }
}

/** Areas of the layout, lit. @param {any[]} geometries */
export function drawAreas(ctx, view, plan, geometries, colour, width = 1.6) {
  view.inPlan((planned) => {
    for (const geometry of geometries) {
      const path = new Path2D();
      for (const ring of plan.rings(geometry)) {
        ring.forEach(([x, y], i) => (i === 0 ? path.moveTo(x, y) : path.lineTo(x, y)));
        path.closePath();
      }
      planned.fillStyle = colour;
      planned.fill(path, 'evenodd');
      strokeTwice(planned, path, width / view.scale);
    }
  });
}

/** A drawn line with its ends. @param {import('./labels.js').Labels} labels */
export function drawLine(ctx, labels, view, [x1, y1, x2, y2], at) {
  const path = new Path2D(), [a, b] = [view.toScreen(x1, y1), view.toScreen(x2, y2)];
  path.moveTo(a[0], a[1]);
  path.lineTo(b[0], b[1]);
  strokeTwice(ctx, path, 2);
  labels.tag('A', [a]);
  labels.tag('B', [b]);
  if (at === null || at === undefined) return;
  const dot = new Path2D(), [x, y] = view.toScreen(x1 + (x2 - x1) * at, y1 + (y2 - y1) * at);
  dot.arc(x, y, 5, 0, 7);
  strokeTwice(ctx, dot, 2);
}
