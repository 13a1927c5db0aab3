// Texts over a map that keep off each other.

const halo = 'rgba(255, 255, 255, 0.92)', ink = '#14181b', gap = 2;

/** The texts of one picture: what is asked first has its place first. */
export class Labels {
  /** @param {CanvasRenderingContext2D} ctx @param {{left: number, right: number, bottom: number}} within CSS pixels of the map's window. */
  constructor(ctx, within) {
    this.ctx = ctx;
    this.within = within;
    /** @type {number[][]} */
    this.taken = [];
    this.font = `600 11px ${getComputedStyle(ctx.canvas).fontFamily}`;
  }

  /** Keeps texts off a place. @param {number} x Middle. @param {number} y @param {number} width @param {number} height */
  keep(x, y, width, height) {
    this.taken.push([x - width / 2, y - height / 2, x + width / 2, y + height / 2]);
  }

  /** Writes a text that shows on any colour at the first of some places that is free. @param {string} text @param {number[][]} places Middles, CSS pixels. @param {boolean} [always] If none is free, at the first. @returns {boolean} It was written. */
  write(text, places, always = false) {
    const place = this.#free(text, places, 8, 14) ?? (always ? places[0] : null);
    if (!place) return false;
    const { ctx } = this, [x, y] = place;
    this.#begin();
    ctx.strokeStyle = halo;
    ctx.lineWidth = 3;
    ctx.strokeText(text, x, y);
    ctx.fillStyle = ink;
    ctx.fillText(text, x, y);
    this.keep(x, y, ctx.measureText(text).width + 8, 14);
    return true;
  }

  /** A number in a box, as on a drawing. @param {string} text @param {number[][]} places @param {boolean} [strong] */
  tag(text, places, strong = false) {
    const [x, y] = this.#free(text, places, 12, 18) ?? places[0], { ctx } = this;
    this.#begin();
    const width = ctx.measureText(text).width + 10;
    ctx.fillStyle = strong ? ink : 'rgba(255, 255, 255, 0.94)';
    ctx.strokeStyle = strong ? '#fff' : ink;
    ctx.lineWidth = 1;
    ctx.beginPath();
    ctx.rect(x - width / 2, y - 8, width, 16);
    ctx.fill();
    ctx.stroke();
    ctx.fillStyle = strong ? '#fff' : ink;
    ctx.fillText(text, x, y + 0.5);
    this.keep(x, y, width + 2, 18);
  }

  #begin() {
    const { ctx } = this;
    ctx.font = this.font;
    ctx.textAlign = 'center';
    ctx.textBaseline = 'middle';
    ctx.lineJoin = 'round';
  }

  #free(text, places, spareX, height) {
    this.#begin();
    const width = this.ctx.measureText(text).width + spareX, { left, right, bottom } = this.within;
    return places.find(([x, y]) => {
      const box = [x - width / 2, y - height / 2, x + width / 2, y + height / 2];
      return box[0] >= left && box[2] <= right && box[1] >= 0 && box[3] <= bottom && !this.taken.some((other) => box[0] < other[2] + gap && box[2] > other[0] - gap && box[1] < other[3] + gap && box[3] > other[1] - gap);
    }) ?? null;
  }
}
