// Writing and reading zip files, as much of it as one's own work needs.
const TABLE = new Uint32Array(256).map((_, n) => {
  for (let k = 0; k < 8; k++) n = n & 1 ? (n >>> 1) ^ 0xedb88320 : n >>> 1;
  return n;
});

export function crc32(bytes) {
  let sum = ~0;
  for (const byte of bytes) sum = TABLE[(sum ^ byte) & 255] ^ (sum >>> 8);
  return ~sum >>> 0;
}

function head(signature, size, fields) {
  const view = new DataView(new ArrayBuffer(size));
  view.setUint32(0, signature, true);
  for (const [at, bytes, value] of fields) {
    if (bytes === 2) view.setUint16(at, value, true);
    else view.setUint32(at, value, true);
  }
  return new Uint8Array(view.buffer);
}

// files: {name: text}; nothing is compressed, so that any program reads it.
export function makeZip(files, when = new Date()) {
  const encoder = new TextEncoder();
  const date = ((when.getFullYear() - 1980) << 9) | ((when.getMonth() + 1) << 5) | when.getDate();
  const time = (when.getHours() << 11) | (when.getMinutes() << 5) | (when.getSeconds() >> 1);
  const parts = [], list = [];
  let at = 0;
  for (const [name, text] of Object.entries(files)) {
    const label = encoder.encode(name), data = encoder.encode(text), sum = crc32(data);
    const common = (from) => [
      [from, 2, 20], [from + 2, 2, 0x800], [from + 4, 2, 0], [from + 6, 2, time], [from + 8, 2, date],
      [from + 10, 4, sum], [from + 14, 4, data.length], [from + 18, 4, data.length], [from + 22, 2, label.length],
    ];
    parts.push(head(0x04034b50, 30, common(4)), label, data);
    list.push(head(0x02014b50, 46, [[4, 2, 20], ...common(6), [42, 4, at]]), label);
    at += 30 + label.length + data.length;
  }
  const size = list.reduce((sum, part) => sum + part.length, 0), count = list.length / 2;
  const end = head(0x06054b50, 22, [[8, 2, count], [10, 2, count], [12, 4, size], [16, 4, at]]);
  return new Blob([...parts, ...list, end], { type: 'application/zip' });
}

async function unpacked(bytes, method) {
  if (method === 0) return bytes;
  if (method !== 8 || typeof DecompressionStream !== 'function') throw new Error('packed in a way this browser cannot open');
  const stream = new Blob([bytes]).stream().pipeThrough(new DecompressionStream('deflate-raw'));
  return new Uint8Array(await new Response(stream).arrayBuffer());
}

// {name: text} of a zip file; an Error with words where it is none or is damaged.
export async function readZip(buffer) {
  const view = new DataView(buffer), decoder = new TextDecoder();
  let end = view.byteLength - 22;
  while (end >= 0 && view.getUint32(end, true) !== 0x06054b50) end--;
  if (end < 0) throw new Error('it is no zip file, or only part of one');
  const files = {};
  let at = view.getUint32(end + 16, true);
  for (let left = view.getUint16(end + 10, true); left > 0; left--) {
    if (view.getUint32(at, true) !== 0x02014b50) throw new Error('it is damaged');
    const [method, packed, named, extra, note] = [view.getUint16(at + 10, true), view.getUint32(at + 20, true), view.getUint16(at + 28, true), view.getUint16(at + 30, true), view.getUint16(at + 32, true)];
    const sum = view.getUint32(at + 16, true), start = view.getUint32(at + 42, true);
    const name = decoder.decode(new Uint8Array(buffer, at + 46, named));
    const from = start + 30 + view.getUint16(start + 26, true) + view.getUint16(start + 28, true);
    if (!name.endsWith('/')) {
      const data = await unpacked(new Uint8Array(buffer, from, packed), method);
      if (crc32(data) !== sum) throw new Error(`${name} in it is damaged`);
      files[name] = decoder.decode(data);
    }
    at += 46 + named + extra + note;
  }
  return files;
}
