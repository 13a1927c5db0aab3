// Making elements. Whatever comes from the service goes into the page as text, never as markup.

/**
 * Makes an element.
 * @param {string} tag
 * @param {Record<string, any>} [attributes] An `on…` key is a listener; false and null leave the attribute out, true sets it empty.
 * @param {...(Node|string|null|undefined|false)} children
 * @returns {any}
 */
export function h(tag, attributes = {}, ...children) {
  const made = tag === 'svg' || attributes.svg ? document.createElementNS('http://www.w3.org/2000/svg', tag) : document.createElement(tag);
  for (const [name, value] of Object.entries(attributes)) {
    if (name === 'svg' || value === null || value === undefined || value === false) continue;
    if (name.startsWith('on')) made.addEventListener(name.slice(2), value);
    else made.setAttribute(name, value === true ? '' : String(value));
  }
  made.append(...children.filter((child) => child !== null && child !== undefined && child !== false));
  return made;
}

/** @param {string} id @returns {any} */
export const byId = (id) => document.getElementById(id);

/** Puts children in place of what an element holds. @param {Element} place @param {...any} children */
export function fill(place, ...children) {
  place.replaceChildren(...children.filter((child) => child !== null && child !== undefined && child !== false));
}

/** Scrolls a list, and never the page, until one of its entries is seen. @param {HTMLElement} list @param {HTMLElement|null} entry */
export function seen(list, entry) {
  if (!entry) return;
  const [place, within] = [entry.getBoundingClientRect(), list.getBoundingClientRect()];
  if (place.top < within.top) list.scrollTop -= within.top - place.top;
  else if (place.bottom > within.bottom) list.scrollTop += Math.min(place.bottom - within.bottom, place.top - within.top);
}

/** Calls a function when nothing has asked for it for some time. @param {number} milliseconds @param {(...values: any[]) => void} call */
export function debounce(milliseconds, call) {
  let timer = 0;
  return (...values) => {
    clearTimeout(timer);
    timer = setTimeout(() => call(...values), milliseconds);
  };
}

/** Hands a text to the user as a file. @param {string} name @param {string} text @param {string} [type] */
export function download(name, text, type = 'text/csv') {
  const address = URL.createObjectURL(new Blob([text], { type }));
  h('a', { href: address, download: name }).click();
  setTimeout(() => URL.revokeObjectURL(address), 10_000);
}
