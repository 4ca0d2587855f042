// A design in the address of this page: its text, packed, behind the #, which browsers send to
// nobody.

const KEY = '#plane=';
/** As large as a design file may be. */
const TEXT_MAX = 256 * 1024;

const through = async (bytes, stream) => new Uint8Array(await new Response(new Blob([bytes]).stream().pipeThrough(stream)).arrayBuffer());

/** The address that opens this text. */
export async function link(text, page = location.href.split('#')[0]) {
  const packed = await through(new TextEncoder().encode(text), new CompressionStream('deflate-raw'));
  const letters = btoa(String.fromCharCode(...packed));
  return page + KEY + letters.replaceAll('+', '-').replaceAll('/', '_').replace(/=+$/, '');
}

/** The text in an address; null where there is none that can be read. */
export async function shared(hash) {
  if (!hash.startsWith(KEY)) return null;
  try {
    const letters = atob(hash.slice(KEY.length).replaceAll('-', '+').replaceAll('_', '/'));
    const reader = new Blob([Uint8Array.from(letters, (c) => c.charCodeAt(0))]).stream().pipeThrough(new DecompressionStream('deflate-raw')).getReader();
    const parts = [];
    let size = 0;
    for (let part = await reader.read(); !part.done; part = await reader.read()) {
      size += part.value.length;
      // What unpacks to more than a design can be is none.
      if (size > TEXT_MAX) { await reader.cancel(); return null; }
      parts.push(part.value);
    }
    return new TextDecoder('utf-8', { fatal: true }).decode(await new Blob(parts).arrayBuffer());
  } catch { return null; }
}
