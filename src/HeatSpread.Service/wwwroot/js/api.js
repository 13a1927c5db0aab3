// Asking the service. Addresses are relative, so that the page works behind a gateway under any path.

/** What the service refused, with every fault and its place. */
export class Refusal extends Error {
  /** @param {number} status @param {{title?: string, detail?: string, errors?: {pointer: string, detail: string}[]}} body */
  constructor(status, body) {
    super(body.detail ?? body.title ?? `The service answered ${status}.`);
    this.status = status;
    /** @type {{pointer: string, detail: string}[]} */
    this.errors = body.errors ?? [];
  }
}

/** An address from an answer, as seen from this page. @param {string} address */
export const relative = (address) => address.replace(/^\//, '');

async function checked(response) {
  if (response.ok) return response;
  let body = {};
  try {
    body = await response.json();
  } catch { /* a gateway's page: the status says it */ }
  throw new Refusal(response.status, body);
}

/** @param {string} address @param {RequestInit} [options] @returns {Promise<Response>} */
export const ask = async (address, options) => checked(await fetch(relative(address), options));

/** @param {string} address @param {AbortSignal} [signal] @returns {Promise<any>} */
export const read = async (address, signal) => (await ask(address, { signal })).json();

/** @param {string} address @param {any} body @param {Record<string, string>} [headers] @param {AbortSignal} [signal] */
export const post = (address, body, headers = {}, signal = undefined) =>
  ask(address, { method: 'POST', headers: { 'Content-Type': 'application/json', ...headers }, body: typeof body === 'string' ? body : JSON.stringify(body), signal });

/**
 * An NPY array (https://numpy.org/doc/stable/reference/generated/numpy.lib.format.html), of float32 or int32, as the service writes them.
 * @param {string} address @param {AbortSignal} [signal]
 * @returns {Promise<{rows: number, columns: number, values: Float32Array|Int32Array}>}
 */
export async function readArray(address, signal) {
  const bytes = await (await ask(address, { signal })).arrayBuffer();
  const start = 10 + new DataView(bytes).getUint16(8, true);
  const header = new TextDecoder().decode(bytes.slice(10, start));
  const [, rows, columns] = /'shape': \((\d+), (\d+)\)/.exec(header) ?? [];
  return { rows: Number(rows), columns: Number(columns), values: header.includes("'<i4'") ? new Int32Array(bytes, start) : new Float32Array(bytes, start) };
}

const kept = new Map();

/** As readArray; what was read lately is kept, for arrays never change. @param {string} address */
export function keptArray(address) {
  const known = kept.get(address);
  if (known) return known;
  const asked = readArray(address);
  kept.set(address, asked);
  asked.catch(() => kept.delete(address));
  if (kept.size > 48) kept.delete(kept.keys().next().value);
  return asked;
}

/**
 * Watches a solve until it ends.
 * @param {string} id @param {(step: string, percent: number) => void} told
 * @returns {Promise<any>} The solution.
 */
export function watch(id, told) {
  return new Promise((resolve, reject) => {
    const events = new EventSource(`v1/solutions/${id}/events`);
    const end = (event, settle) => {
      events.close();
      settle(JSON.parse(event.data));
    };
    events.addEventListener('progress', (event) => {
      const { progress, state } = JSON.parse(event.data);
      told(progress?.step ?? state, progress?.percent ?? 0);
    });
    events.addEventListener('solved', (event) => end(event, resolve));
    for (const ended of ['failed', 'cancelled']) {
      events.addEventListener(ended, (event) => end(event, (body) => reject(new Refusal(422, body.problem ?? body))));
    }
  });
}
