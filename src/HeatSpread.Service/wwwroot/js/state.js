// The state of a page lives in its address, so that any view can be sent as a link and the browser's back button works.

/** A page's state: texts by name, kept in the fragment of the address; those at their default are left out. */
export class State extends EventTarget {
  /** @param {Record<string, string>} defaults */
  constructor(defaults) {
    super();
    this.defaults = defaults;
    this.values = this.#parse();
    window.addEventListener('popstate', () => this.#follow());
    window.addEventListener('hashchange', () => this.#follow());
  }

  /** @param {string} name @returns {string} */
  get(name) {
    return this.values[name] ?? this.defaults[name] ?? '';
  }

  /**
   * Changes the state and tells of it.
   * @param {Record<string, string>} changes
   * @param {{step?: boolean}} [how] `step`: a step that the back button undoes; otherwise the address is changed in place, as for a zoom.
   */
  set(changes, { step = false } = {}) {
    const changed = Object.keys(changes).filter((name) => this.get(name) !== changes[name]);
    if (changed.length === 0) return;
    for (const name of changed) this.values[name] = changes[name];
    const address = this.#address();
    if (step) history.pushState(null, '', address);
    else history.replaceState(null, '', address);
    this.#tell(changed);
  }

  #address() {
    const query = new URLSearchParams();
    for (const [name, value] of Object.entries(this.values)) if (value !== '' && value !== this.defaults[name]) query.set(name, value);
    const text = query.toString();
    return text ? `#${text}` : location.pathname + location.search;
  }

  #parse() {
    return Object.fromEntries(new URLSearchParams(location.hash.slice(1)));
  }

  #follow() {
    const before = this.values;
    this.values = this.#parse();
    const changed = [...new Set([...Object.keys(before), ...Object.keys(this.values)])].filter((name) => (before[name] ?? this.defaults[name]) !== this.get(name));
    if (changed.length > 0) this.#tell(changed);
  }

  #tell(changed) {
    this.dispatchEvent(new CustomEvent('change', { detail: new Set(changed) }));
  }
}
