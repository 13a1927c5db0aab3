// A field for a number, which arrow keys change by a step that suits it, and with Shift by ten.

import { h } from './dom.js';

/**
 * @param {{name: string, value: number, step: number, min?: number, max?: number, changed: (value: number) => void, bare?: boolean}} field `name` with its unit, for those who do not see the field's place.
 * @returns {HTMLInputElement}
 */
export function numberInput({ name, value, step, min, max, changed, bare = false }) {
  const input = h('input', { type: 'number', class: bare ? 'bare' : null, value, required: true, step: 'any', min, max, 'aria-label': name });
  input.addEventListener('keydown', (event) => {
    if (event.key !== 'ArrowUp' && event.key !== 'ArrowDown') return;
    event.preventDefault();
    input.value = String(Number(Math.max(min ?? -Infinity, Number(input.value) + step * (event.shiftKey ? 10 : 1) * (event.key === 'ArrowUp' ? 1 : -1)).toPrecision(10)));
    input.dispatchEvent(new Event('input'));
  });
  input.addEventListener('input', () => {
    if (input.value !== '' && input.checkValidity()) changed(Number(input.value));
  });
  return input;
}
