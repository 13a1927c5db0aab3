// The plan of a board: its outline, parts and holes, in mm.

/**
 * @typedef {{id: string, side: string, kind?: string, body: Path2D|null, pads: Path2D, rings: number[][][], padRings: number[][][], box: Box, watts: number}} PlanPart
 * @typedef {{minX: number, minY: number, maxX: number, maxY: number}} Box mm
 */

const mmOf = { mm: 1, inch: 25.4 };

export class Plan {
  /** @param {{unit: string, netNames: string[], layout: any}} answer The service's `plan`. */
  constructor({ unit, netNames, layout }) {
    /** mm of one unit of the layout. */
    this.scale = mmOf[unit] ?? 1;
    this.netNames = netNames;
    this.layout = layout;
    const outline = this.rings(layout.outline);
    this.outline = pathOf(outline);
    this.box = boxOf(outline);
    /** @type {PlanPart[]} */
    this.parts = (layout.parts ?? []).map((part) => this.#part(part));
    this.holes = (layout.vias ?? []).flatMap((via) => placesOf(via).map(([x, y]) => ({ x: x * this.scale, y: y * this.scale, radius: (via.drill * this.scale) / 2, net: via.net })));
    this.probes = (layout.probes ?? []).map((probe) => ({ ...probe, x: probe.at[0] * this.scale, y: probe.at[1] * this.scale }));
  }

  /** Rings of a Polygon or MultiPolygon, mm. @param {any} geometry @returns {number[][][]} */
  rings(geometry) {
    if (!geometry) return [];
    const polygons = geometry.type === 'Polygon' ? [geometry.coordinates] : geometry.coordinates;
    return polygons.flat().map((ring) => ring.map((place) => this.point(place)));
  }

  /** @param {number[]} place In the layout's unit. */
  point([x, y]) {
    return [x * this.scale, y * this.scale];
  }

  /** The part at a place: one with a pad there, else the smallest body over it. @param {number} x @param {number} y @returns {PlanPart|null} */
  partAt(x, y) {
    const near = this.parts.filter(({ box }) => x >= box.minX && x <= box.maxX && y >= box.minY && y <= box.maxY);
    const area = ({ box }) => (box.maxX - box.minX) * (box.maxY - box.minY);
    return near.find((part) => inside(part.padRings, x, y)) ?? near.filter((part) => part.rings.length === 0 || inside(part.rings, x, y)).sort((a, b) => area(a) - area(b))[0] ?? null;
  }

  #part(part) {
    const rings = this.rings(part.body), padRings = (part.terminals ?? []).flatMap((terminal) => this.rings(terminal.pad));
    return { id: part.id, side: part.side ?? 'top', kind: part.kind, rings, padRings, body: rings.length ? pathOf(rings) : null, pads: pathOf(padRings), box: boxOf([...rings, ...padRings]), watts: part.watts ?? 0 };
  }
}

/** @param {number[][][]} rings @returns {Path2D} */
export function pathOf(rings) {
  const path = new Path2D();
  for (const ring of rings) {
    ring.forEach(([x, y], i) => (i === 0 ? path.moveTo(x, y) : path.lineTo(x, y)));
    path.closePath();
  }
  return path;
}

/** @param {number[][][]} rings @returns {Box} */
export function boxOf(rings) {
  const box = { minX: Infinity, minY: Infinity, maxX: -Infinity, maxY: -Infinity };
  for (const ring of rings) {
    for (const [x, y] of ring) {
      box.minX = Math.min(box.minX, x);
      box.minY = Math.min(box.minY, y);
      box.maxX = Math.max(box.maxX, x);
      box.maxY = Math.max(box.maxY, y);
    }
  }
  return box;
}

/** Even-odd. @param {number[][][]} rings @param {number} x @param {number} y */
export function inside(rings, x, y) {
  let odd = false;
  for (const ring of rings) {
    for (let i = 0, last = ring.length - 1; i < ring.length; last = i++) {
      const [ax, ay] = ring[last], [bx, by] = ring[i];
      if (ay > y !== by > y && x < ax + ((by - ay) === 0 ? 0 : ((y - ay) / (by - ay)) * (bx - ax))) odd = !odd;
    }
  }
  return odd;
}

/** Centres of the holes of an entry of `vias`. @param {any} via @returns {number[][]} */
export function placesOf(via) {
  if (via.at) return via.at;
  const { origin, columns, rows, pitch } = via.array ?? { origin: [0, 0], columns: 0, rows: 0, pitch: [0, 0] };
  return Array.from({ length: columns * rows }, (_, i) => [origin[0] + (i % columns) * pitch[0], origin[1] + Math.floor(i / columns) * pitch[1]]);
}
