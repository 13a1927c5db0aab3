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

/** A text that shows on any colour. @param {CanvasRenderingContext2D} ctx @param {string} text @param {number} x @param {number} y @param {string} [align] */
export function label(ctx, text, x, y, align = 'center') {
  ctx.font = `600 11px ${getComputedStyle(ctx.canvas).fontFamily}`;
  ctx.textAlign = /** @type {CanvasTextAlign} */ (align);
  ctx.textBaseline = 'middle';
  ctx.lineJoin = 'round';
  ctx.strokeStyle = halo;
  ctx.lineWidth = 3;
  ctx.strokeText(text, x, y);
  ctx.fillStyle = ink;
  ctx.fillText(text, x, y);
}

/** Outlines of the parts on a side, the pads of all, and their names where there is room. */
export function drawParts(ctx, view, plan, { side, selected, names }) {
  const shown = plan.parts.filter((part) => !side || part.side === side || part.id === selected);
  view.inPlan((planned) => {
    for (const part of shown) {
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
  if (!names) return;
  for (const { id, box } of shown) {
    const room = (box.maxX - box.minX) * view.scale;
    if (room < 7 * id.length + 4 && id !== selected) continue;
    const [x, y] = view.toScreen((box.minX + box.maxX) / 2, (box.minY + box.maxY) / 2);
    label(ctx, id, x, y);
  }
}

/** Numbered rings. */
export function drawHotSpots(ctx, view, plan, hotspots, layer, selected) {
  const named = [];
  for (const spot of hotspots) {
    if (spot.layer !== layer) continue;
    const [x, y] = view.toScreen(...plan.point(spot.at)), ring = new Path2D();
    ring.arc(x, y, 7, 0, 7);
    strokeTwice(ctx, ring, spot.rank === selected ? 3 : 1.6);
    if (named.some(([nx, ny]) => Math.abs(nx - x) < 34 && Math.abs(ny - y) < 15)) continue;
    named.push([x, y]);
    label(ctx, `${number(spot.celsius, 0)}°`, x + 12, y - 10, 'left');
  }
}

/** The line or the places of each finding of the layer; the chosen one stands out. */
export function drawFindings(ctx, view, plan, findings, layer, selected) {
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
    const [x, y] = places[Math.floor(places.length / 2)];
    tag(ctx, String(index + 1), x, y - 14, isChosen);
  });
}

/** A number in a box, as on a drawing. */
export function tag(ctx, text, x, y, strong = false) {
  ctx.font = `600 11px ${getComputedStyle(ctx.canvas).fontFamily}`;
  const width = ctx.measureText(text).width + 10;
  ctx.fillStyle = strong ? ink : 'rgba(255, 255, 255, 0.94)';
  ctx.strokeStyle = strong ? '#fff' : ink;
  ctx.lineWidth = 1;
  ctx.beginPath();
  ctx.rect(x - width / 2, y - 8, width, 16);
  ctx.fill();
  ctx.stroke();
  ctx.fillStyle = strong ? '#fff' : ink;
  ctx.textAlign = 'center';
  ctx.textBaseline = 'middle';
  ctx.fillText(text, x, y + 0.5);
}

/** Isotherms with their values, apart from each other. */
export function drawIsotherms(ctx, view, lines, unit) {
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
  const taken = [];
  for (const { level, middles } of lines) {
    let placed = 0;
    for (let i = 0; i < middles.length && placed < 3; i += 7) {
      const [x, y] = view.toScreen(...middles[i]);
      if (x < 60 || y < 14 || x > view.width || y > view.height - 14 || taken.some(([tx, ty]) => Math.hypot(tx - x, ty - y) < 90)) continue;
      taken.push([x, y]);
      label(ctx, `${Number(level.toPrecision(6))}${unit}`, x, y);
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

/** A drawn line with its ends. */
export function drawLine(ctx, view, [x1, y1, x2, y2], at) {
  const path = new Path2D(), [a, b] = [view.toScreen(x1, y1), view.toScreen(x2, y2)];
  path.moveTo(a[0], a[1]);
  path.lineTo(b[0], b[1]);
  strokeTwice(ctx, path, 2);
  tag(ctx, 'A', a[0], a[1]);
  tag(ctx, 'B', b[0], b[1]);
  if (at === null || at === undefined) return;
  const dot = new Path2D(), [x, y] = view.toScreen(x1 + (x2 - x1) * at, y1 + (y2 - y1) * at);
  dot.arc(x, y, 5, 0, 7);
  strokeTwice(ctx, dot, 2);
}
