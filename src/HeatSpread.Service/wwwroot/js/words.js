// Numbers and names as people read them.

const minus = (text) => text.replace('-', '\u2212');

/** @param {number} value @param {number} [digits] */
export const number = (value, digits = 1) => minus(value.toFixed(digits));

/** @param {number|null|undefined} value */
export const celsius = (value) => (Number.isFinite(value) ? `${number(/** @type {number} */ (value))}\u00a0°C` : '–');

/** @param {number|null|undefined} value @param {boolean} [signed] */
export const kelvin = (value, signed = false) => (Number.isFinite(value) ? `${signed && /** @type {number} */ (value) > 0 ? '+' : ''}${number(/** @type {number} */ (value))}\u00a0K` : '–');

/** @param {number} value Watts; small ones in mW. */
export const watts = (value) => (Math.abs(value) < 0.0995 ? `${number(value * 1000, 0)}\u00a0mW` : `${number(value, 2)}\u00a0W`);

/** @param {number} value Seconds; short ones in ms. */
export const seconds = (value) => (value < 0.0995 ? `${Number((value * 1000).toPrecision(3))}\u00a0ms` : `${Number(value.toPrecision(3))}\u00a0s`);

const kinds = {
  planeCut: 'Cut pour', isolatedCopper: 'Narrow way out', starvedTerminal: 'Starved terminal', viaReliance: 'Relies on few vias', idleVias: 'Idle vias', crowdedSources: 'Crowded parts',
  quietGroundBridge: 'Kept apart on purpose', switchingArea: 'Switching copper',
  copperAdded: 'Copper added', copperRemoved: 'Copper removed', viasAdded: 'Vias added', viasRemoved: 'Vias removed', wattsChanged: 'Watts', stackChanged: 'Stack', surfacesChanged: 'Air and surfaces',
  partChanged: 'Part', conductivityChanged: 'Conductivity', outlineChanged: 'Outline', smallChanges: 'Small changes',
};

/** A kind of finding or of change. @param {string} kind */
export const kindName = (kind) => kinds[kind] ?? kind;

/** A step of a solve. @param {string} step */
export const stepName = (step) => ({ raster: 'Copper into cells', solve: 'Temperatures', gridError: 'Estimate of the grid’s error', findings: 'Why it is hot' })[step] ?? step;
