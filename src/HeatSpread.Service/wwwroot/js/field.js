// A field of numbers over the plan of a board.

/** @typedef {{origin: number[], pitchMm: number[], columns: number, rows: number}} Grid Cells over a box, mm; row 0 at the lowest y. */

/** How many cells beyond the board's edge the values are carried on, so that a picture can be cut at the edge itself and not at its cells. */
const skirt = 2;

export class Field {
  /** @param {Grid} grid @param {Float32Array} values NaN outside the board. */
  constructor(grid, values) {
    this.grid = grid;
    this.values = values;
    /** With values carried on beyond the edge. @type {Float32Array} */
    this.solid = carriedOn(values, grid.columns, grid.rows);
    [this.min, this.max] = range(values);
  }

  /** The value of the cell at a place; NaN where there is none. @param {number} x mm @param {number} y mm */
  at(x, y) {
    const { origin, pitchMm, columns, rows } = this.grid;
    const column = Math.floor((x - origin[0]) / pitchMm[0]), row = Math.floor((y - origin[1]) / pitchMm[1]);
    return column < 0 || row < 0 || column >= columns || row >= rows ? NaN : this.values[row * columns + column];
  }

  /** The value at a place between the centres of cells; NaN outside the board. @param {number} x mm @param {number} y mm */
  between(x, y) {
    if (Number.isNaN(this.at(x, y))) return NaN;
    const { origin, pitchMm, columns, rows } = this.grid, { solid } = this;
    const across = Math.min(Math.max((x - origin[0]) / pitchMm[0] - 0.5, 0), columns - 1), up = Math.min(Math.max((y - origin[1]) / pitchMm[1] - 0.5, 0), rows - 1);
    const left = Math.floor(across), low = Math.floor(up), right = Math.min(left + 1, columns - 1), high = Math.min(low + 1, rows - 1);
    const along = (row) => solid[row * columns + left] + (solid[row * columns + right] - solid[row * columns + left]) * (across - left);
    return along(low) + (along(high) - along(low)) * (up - low);
  }

  /** This field and shares of others of the same grid. @param {{share: number, of: ArrayLike<number>}[]} terms */
  plus(terms) {
    const sum = Float32Array.from(this.values);
    for (const { share, of } of terms) for (let i = 0; i < sum.length; i++) sum[i] += share * of[i];
    return new Field(this.grid, sum);
  }
}

/** A grid over a box of as many cells. @param {{minX: number, minY: number, maxX: number, maxY: number}} box @param {number} columns @param {number} rows @returns {Grid} */
export const gridOver = (box, columns, rows) => ({ origin: [box.minX, box.minY], pitchMm: [(box.maxX - box.minX) / columns, (box.maxY - box.minY) / rows], columns, rows });

function range(values) {
  let min = Infinity, max = -Infinity;
  for (const value of values) {
    if (value < min) min = value;
    if (value > max) max = value;
  }
  return min <= max ? [min, max] : [0, 1];
}

function carriedOn(values, columns, rows) {
  let solid = Float32Array.from(values);
  for (let pass = 0; pass < skirt; pass++) {
    const next = Float32Array.from(solid);
    let open = false;
    for (let i = 0; i < solid.length; i++) {
      if (!Number.isNaN(solid[i])) continue;
      open = true;
      const column = i % columns, row = (i - column) / columns;
      let sum = 0, count = 0;
      const take = (value) => {
        if (!Number.isNaN(value)) {
          sum += value;
          count++;
        }
      };
      if (column > 0) take(solid[i - 1]);
      if (column < columns - 1) take(solid[i + 1]);
      if (row > 0) take(solid[i - columns]);
      if (row < rows - 1) take(solid[i + columns]);
      if (count > 0) next[i] = sum / count;
    }
    solid = next;
    if (!open) break;
  }
  return solid;
}
