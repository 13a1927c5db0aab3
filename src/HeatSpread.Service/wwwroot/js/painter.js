// Colours for each pixel of the screen, straight from the numbers: what is zoomed in is interpolated again, not stretched.

/**
 * @typedef {object} Paint
 * @property {import('./field.js').Field|null} field Null: copper alone is painted.
 * @property {import('./palette.js').Palette} palette
 * @property {number} min Lower end of the scale.
 * @property {number} max
 * @property {import('./copper.js').OwnerRaster|null} owners For the edges of copper, and for copper alone.
 * @property {number} lit Owner that is shown while all else is faded; -1: none.
 * @property {Uint32Array|null} copperColours By owner, of a view of copper.
 * @property {number} edge Colour of copper's edges in a view of copper.
 */

/**
 * @typedef {{scale: number, left: number, top: number, mirror: boolean, width: number, height: number}} Frame
 * Pixels per mm; the plan's x at pixel 0 and y at pixel row 0; left and right exchanged; size in pixels.
 */

/**
 * @param {Uint32Array} pixels width × height
 * @param {Frame} frame
 * @param {Paint} paint
 * @param {number} [from] First pixel column. @param {number} [to] The one after the last.
 */
export function paintPixels(pixels, frame, paint, from = 0, to = frame.width) {
  const { width, height, scale } = frame;
  const { field, owners, lit, copperColours } = paint;
  const across = field ? blends(width, (i) => (planX(frame, i) - field.grid.origin[0]) / field.grid.pitchMm[0] - 0.5, field.grid.columns) : null;
  const up = field ? blends(height, (i) => (frame.top - (i + 0.5) / scale - field.grid.origin[1]) / field.grid.pitchMm[1] - 0.5, field.grid.rows) : null;
  const ownerColumn = owners ? places(width + 1, (i) => (planX(frame, i) - owners.minX) / owners.pitchX, owners.columns) : null;
  const ownerRow = owners ? places(height + 1, (i) => (frame.top - (i + 0.5) / scale - owners.minY) / owners.pitchY, owners.rows) : null;
  const { colours, inks, faded } = paint.palette, last = colours.length - 1, perUnit = last / (paint.max - paint.min || 1);
  for (let y = 0; y < height; y++) {
    const line = y * width, ownLine = owners ? ownerRow[y] * owners.columns : -1, nextLine = owners ? ownerRow[y + 1] * owners.columns : -1;
    const low = field ? up.first[y] * field.grid.columns : 0, high = field ? up.second[y] * field.grid.columns : 0, lift = field ? up.share[y] : 0;
    for (let x = from; x < to; x++) {
      let owner = -1, isEdge = false;
      if (owners && ownLine >= 0 && ownerColumn[x] >= 0) {
        owner = owners.owners[ownLine + ownerColumn[x]];
        isEdge = (ownerColumn[x + 1] >= 0 && owners.owners[ownLine + ownerColumn[x + 1]] !== owner) || (nextLine >= 0 && owners.owners[nextLine + ownerColumn[x]] !== owner);
      }
      if (copperColours) {
        pixels[line + x] = isEdge ? paint.edge : copperColours[owner < 0 ? 0 : owner];
        continue;
      }
      const a = across.first[x], b = across.second[x], share = across.share[x], solid = field.solid;
      const below = solid[low + a] + (solid[low + b] - solid[low + a]) * share, above = solid[high + a] + (solid[high + b] - solid[high + a]) * share;
      const value = below + (above - below) * lift;
      if (value !== value) { // NaN: no board here
        pixels[line + x] = 0;
        continue;
      }
      const step = Math.min(last, Math.max(0, ((value - paint.min) * perUnit) | 0));
      pixels[line + x] = isEdge ? inks[step] : lit >= 0 && owner !== lit ? faded[step] : colours[step];
    }
  }
}

const planX = (frame, i) => frame.left + ((frame.mirror ? -1 : 1) * (i + 0.5)) / frame.scale;

/** The two cells between which each pixel lies, and its share of the second. */
function blends(count, placeOf, cells) {
  const first = new Int32Array(count), second = new Int32Array(count), share = new Float32Array(count);
  for (let i = 0; i < count; i++) {
    const place = Math.min(Math.max(placeOf(i), 0), cells - 1);
    first[i] = Math.min(Math.floor(place), cells - 1);
    second[i] = Math.min(first[i] + 1, cells - 1);
    share[i] = place - first[i];
  }
  return { first, second, share };
}

/** The cell of each pixel; -1 outside. */
function places(count, placeOf, cells) {
  const made = new Int32Array(count);
  for (let i = 0; i < count; i++) {
    const place = Math.floor(placeOf(i));
    made[i] = place < 0 || place >= cells ? -1 : place;
  }
  return made;
}
