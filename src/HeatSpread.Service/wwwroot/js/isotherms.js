// Lines of equal value by marching squares: W. E. Lorensen and H. E. Cline, "Marching cubes", 1987, in the plane; saddles are decided by the mean of the four corners.

/** Steps of 1, 2 or 5 times a power of ten, about as many as asked for. @param {number} min @param {number} max @param {number} about @returns {number[]} */
export function niceLevels(min, max, about) {
  const span = max - min;
  if (!(span > 0)) return [];
  const rough = span / about, power = 10 ** Math.floor(Math.log10(rough)), step = [1, 2, 5, 10].map((m) => m * power).find((s) => s >= rough * 0.999) ?? rough;
  const levels = [];
  for (let i = Math.ceil(min / step - 1e-9); i * step <= max + step * 1e-9; i++) levels.push(Number((i * step).toPrecision(10)));
  return levels;
}

/**
 * @param {import('./field.js').Field} field @param {number[]} levels
 * @returns {{level: number, path: Path2D, middles: number[][]}[]} Lines in mm, and places on them for labels.
 */
export function isotherms(field, levels) {
  return levels.map((level) => contour(field, level));
}

function contour({ grid, solid }, level) {
  const { origin, pitchMm, columns, rows } = grid, path = new Path2D(), middles = [];
  const x = (column) => origin[0] + (column + 0.5) * pitchMm[0], y = (row) => origin[1] + (row + 0.5) * pitchMm[1];
  for (let row = 0; row + 1 < rows; row++) {
    for (let column = 0; column + 1 < columns; column++) {
      const i = row * columns + column;
      const corners = [solid[i], solid[i + 1], solid[i + columns + 1], solid[i + columns]];
      const kind = (corners[0] > level ? 1 : 0) | (corners[1] > level ? 2 : 0) | (corners[2] > level ? 4 : 0) | (corners[3] > level ? 8 : 0);
      if (kind === 0 || kind === 15 || corners.some(Number.isNaN)) continue;
      const cross = (from, to) => (level - corners[from]) / (corners[to] - corners[from]);
      const sides = [() => [x(column + cross(0, 1)), y(row)], () => [x(column + 1), y(row + cross(1, 2))], () => [x(column + cross(3, 2)), y(row + 1)], () => [x(column), y(row + cross(0, 3))]];
      for (const [from, to] of segmentsOf(kind, corners, level)) {
        const start = sides[from](), end = sides[to]();
        path.moveTo(start[0], start[1]);
        path.lineTo(end[0], end[1]);
        middles.push(start);
      }
    }
  }
  return { level, path, middles };
}

const table = { 1: [[3, 0]], 2: [[0, 1]], 3: [[3, 1]], 4: [[1, 2]], 6: [[0, 2]], 7: [[3, 2]], 8: [[2, 3]], 9: [[2, 0]], 11: [[2, 1]], 12: [[1, 3]], 13: [[1, 0]], 14: [[0, 3]] };

function segmentsOf(kind, corners, level) {
  if (kind !== 5 && kind !== 10) return table[kind];
  const middleIsHigh = corners.reduce((sum, corner) => sum + corner, 0) / 4 > level;
  return (kind === 5) === middleIsHigh ? [[3, 2], [0, 1]] : [[3, 0], [1, 2]];
}
