// What is not saved yet, kept in this browser, so that a closed tab or a design that made room for
// another loses nothing. Each opening of a design has one draft at most, under its own id.

import { store, unsaved } from './store.js';

const PLACE = 'drafts';
/** Most kept; the oldest go. */
const MOST = 40;

function read() {
  try { return JSON.parse(localStorage.getItem(PLACE)) ?? {}; } catch { return {}; }
}
/** False where the browser keeps nothing. */
function write(all) {
  const newest = Object.entries(all).sort(([, a], [, b]) => b.at - a.at).slice(0, MOST);
  try { localStorage.setItem(PLACE, JSON.stringify(Object.fromEntries(newest))); return true; } catch { return false; }
}

/** Keeps the text as it is now; one that is saved needs no keeping. False where it would be lost. */
export function keep() {
  const { file, text } = store;
  const all = read();
  if (!unsaved()) return !(file.id in all) || drop(file.id);
  if (all[file.id]?.text === text) return true;
  const { id, name, version, saved } = file;
  return write({ ...all, [id]: { id, folder: store.folder, name, version, saved, text, plane: store.answer?.name ?? '', at: Date.now() } });
}

/** Throws one away. */
export function drop(id) {
  const all = read();
  delete all[id];
  return write(all);
}

/** Drafts of this folder, newest first, without the one that is being worked on. */
export const drafts = () => Object.values(read())
  .filter((d) => d.folder === store.folder && d.id !== store.file.id).sort((a, b) => b.at - a.at);

/** When it was last changed, in words. */
export const when = ({ at }) => new Date(at).toLocaleString([], { weekday: 'short', hour: '2-digit', minute: '2-digit' });
