// Where a JSON Pointer (RFC 6901) points to in the text of a document.

/**
 * @param {string} text JSON. @param {string[]} pointers
 * @returns {Map<string, [number, number]>} First character and the one after the last, of those that are there; of a missing key its object.
 */
export function placesIn(text, pointers) {
  const all = new Map();
  try {
    scan(text, all);
  } catch { /* what was read before the fault is known */ }
  const found = new Map();
  for (const pointer of pointers) {
    for (let at = pointer; ; at = at.slice(0, at.lastIndexOf('/'))) {
      const place = all.get(at);
      if (place) found.set(pointer, place);
      if (place || at === '') break;
    }
  }
  return found;
}

/** Line and column of a character, from 1. @param {string} text @param {number} at */
export function lineOf(text, at) {
  const before = text.slice(0, at), line = before.split('\n').length;
  return { line, column: at - before.lastIndexOf('\n') };
}

function scan(text, places) {
  let at = 0;
  const space = () => {
    while (/\s/.test(text[at] ?? '')) at++;
  };
  const string = () => {
    const start = at++;
    while (text[at] !== '"') {
      if (at >= text.length) throw new SyntaxError();
      at += text[at] === '\\' ? 2 : 1;
    }
    return JSON.parse(text.slice(start, ++at));
  };
  const value = (pointer) => {
    space();
    const start = at;
    if (text[at] === '{') members(pointer);
    else if (text[at] === '[') items(pointer);
    else if (text[at] === '"') string();
    else {
      const word = /[^\s,\]}]+/y;
      word.lastIndex = at;
      if (!word.test(text)) throw new SyntaxError();
      at = word.lastIndex;
    }
    places.set(pointer, [start, at]);
  };
  const members = (pointer) => {
    at++;
    for (space(); text[at] !== '}'; space()) {
      const key = string().replaceAll('~', '~0').replaceAll('/', '~1');
      space();
      at++;
      value(`${pointer}/${key}`);
      next('}');
    }
    at++;
  };
  const items = (pointer) => {
    at++;
    space();
    for (let i = 0; text[at] !== ']'; i++) {
      value(`${pointer}/${i}`);
      next(']');
    }
    at++;
  };
  const next = (end) => {
    space();
    if (text[at] === ',') at++;
    else if (text[at] !== end) throw new SyntaxError();
    space();
  };
  value('');
}
