// Where designs are kept when there is no server: in the browser. It answers what the server answers
// of its folder, in the same words.

import { t } from './strings.js';

const PLACE = 'plumbfold-designs';
const BOOK = 'plumbfold-notebook';

function read() {
  try { return JSON.parse(localStorage.getItem(PLACE)) ?? {}; } catch { return {}; }
}

/** 64 bits of FNV-1a (Fowler, Noll and Vo): changes with the content, and is another for another file. */
function version(name, text) {
  let hash = 0xcbf29ce484222325n;
  for (const byte of new TextEncoder().encode(`${name}\n${text}`)) hash = BigInt.asUintN(64, (hash ^ BigInt(byte)) * 0x100000001b3n);
  return hash.toString(16);
}

const kept = (name, text) => ({ name, text, version: version(name, text) });
const json = (status, body) => Response.json(body, { status });
const message = (status, words) => json(status, { message: words });

function save({ name, text, version: seen }) {
  if (!/^[^/\\:*?"<>|\p{C}]{1,94}\.plane$/u.test(name)) return message(400, t('shelf.name'));
  const all = read();
  const now = name in all ? kept(name, all[name]) : null;
  if ((now?.version ?? null) !== (seen ?? null)) return json(409, { message: t('shelf.changed'), now });
  try { localStorage.setItem(PLACE, JSON.stringify({ ...all, [name]: text })); } catch { return message(500, t('shelf.full')); }
  return json(200, kept(name, text));
}

/** A session runs for so long, ms: as the program counts it. */
const SESSION_MS = 12 * 3600e3;

/** The notebook goes along with each question, and comes back with each answer. */
async function noted(body, work) {
  const { import: other, ...question } = JSON.parse(body);
  const answer = await work('/api/notebook', { body: JSON.stringify({
    book: localStorage.getItem(BOOK), at: new Date().toISOString(), since: new Date(Date.now() - SESSION_MS).toISOString(), import: other ?? null, question: other ? { look: {} } : question,
  }) });
  if (!answer.ok) return answer;
  const holds = await answer.json();
  try { localStorage.setItem(BOOK, holds.book); } catch { return message(500, t('shelf.full')); }
  return json(200, holds);
}

/** Answers what is asked of the folder; nothing for other questions. */
export async function shelved(path, { body } = {}, work) {
  const [question, name] = [path.split('?')[0], decodeURIComponent(path.split('name=')[1] ?? '')];
  const all = read();
  if (question === '/api/save') return save(JSON.parse(body));
  if (question === '/api/notebook') return noted(body, work);
  if (question === '/api/file') return name in all ? json(200, kept(name, all[name])) : message(404, t('shelf.missing'));
  if (question === '/api/version') return json(200, { version: name in all ? version(name, all[name]) : null });
  if (question !== '/api/designs') return null;
  const files = Object.keys(all).sort().map((file) => ({ name: file, text: all[file] }));
  return work(path, { body: JSON.stringify({ folder: t('shelf.place'), first: null, files }) });
}
