// Names of the files in a ZIP archive, from its central directory (PKWARE, APPNOTE.TXT 4.3.12 and 4.3.16). Nothing is unpacked.

const endOfDirectory = 0x06054b50, directoryEntry = 0x02014b50, longestTail = 65557;

/** @param {File} file @returns {Promise<string[]>} Empty where it is no ZIP. */
export async function zipNames(file) {
  const tailStart = Math.max(0, file.size - longestTail), tail = new DataView(await file.slice(tailStart).arrayBuffer());
  for (let at = tail.byteLength - 22; at >= 0; at--) {
    if (tail.getUint32(at, true) !== endOfDirectory) continue;
    const size = tail.getUint32(at + 12, true), start = tail.getUint32(at + 16, true);
    return entries(new DataView(await file.slice(start, start + size).arrayBuffer()));
  }
  return [];
}

function entries(view) {
  const names = [];
  for (let at = 0; at + 46 <= view.byteLength && view.getUint32(at, true) === directoryEntry;) {
    const [name, extra, comment] = [28, 30, 32].map((offset) => view.getUint16(at + offset, true));
    const text = new TextDecoder().decode(new Uint8Array(view.buffer, at + 46, name));
    if (!text.endsWith('/')) names.push(text.split('/').at(-1));
    at += 46 + name + extra + comment;
  }
  return names;
}
