// The file behind the text: opened, saved only when asked, and watched for changes from outside.

import { get, post } from './api.js';
import { $, el } from './dom.js';
import { ask } from './dialog.js';
import { drafts, drop, keep, when } from './drafts.js';
import { t } from './strings.js';
import { emit, on, setText, store, swap, unsaved } from './store.js';
import { alone } from './way.js';

const WATCH_MS = 1500;
/** Text is kept in the browser this long after it was changed. */
const KEEP_MS = 300;
const notice = $('notice');

export function startFiles() {
  $('save').addEventListener('click', save);
  on('text', state);
  on('answer', state);
  on('file', state);
  on('refused', (why) => say(why));
  on('lost', (lost) => (lost ? say(t('server.gone')) : say(t('server.back'), [], 2500)));
  // Where the browser keeps nothing, closing asks.
  addEventListener('beforeunload', (e) => { emit('leaving'); if (!keep()) e.preventDefault(); });
  addEventListener('keydown', (e) => {
    if (!(e.ctrlKey || e.metaKey) || e.key.toLowerCase() !== 's') return;
    e.preventDefault();
    save();
  });
  setInterval(watch, WATCH_MS);
  let waiting = 0;
  on('text', () => { clearTimeout(waiting); waiting = setTimeout(keep, KEEP_MS); });
}

/** Opens a text: of a file (with its version), or new. `saved` is what of it is kept elsewhere.
 *  Gives what was open before. */
export function open({ name = null, version = null, text, saved = text }) {
  emit('leaving');
  keep();
  quiet();
  const file = { id: `${Date.now()}-${Math.random()}`, name, version, saved, opened: text };
  const before = swap({ text, file });
  const [draft] = drafts().filter((d) => name && d.name === name && d.text !== text);
  if (draft) {
    say(t('draft.found', { name, time: when(draft) }), [
      [t('draft.take'), () => takeUp(draft)], [t('draft.drop'), () => { drop(draft.id); quiet(); }]]);
  }
  return before;
}

/** Opens a design of the folder. */
export async function openFile(name) {
  try { open(await get(`/api/file?name=${encodeURIComponent(name)}`)); } catch (error) { emit('refused', error.message); }
}

/** Opens what was left unsaved, with what it was opened from. */
export async function openDraft(draft) {
  const file = draft.name && await get(`/api/file?name=${encodeURIComponent(draft.name)}`).catch(() => null);
  open(file || { text: draft.saved || draft.text, saved: draft.saved });
  takeUp(draft);
}

/** Goes on with an unsaved text. Should its file have been changed since, saving will tell. */
function takeUp({ id, name, version, text }) {
  if (store.file.name === name) store.file.version = version;
  setText(text);
  drop(id);
  quiet();
}

function state() {
  const { name } = store.file;
  $('file-state').textContent = name ? t(unsaved() ? 'file.changed' : 'file.saved', { name }) : t('file.unsaved');
  $('plane-name').textContent = store.answer?.name ?? store.good?.name ?? '';
  document.title = `${unsaved() ? '• ' : ''}${$('plane-name').textContent || 'Plumbfold'} – Plumbfold`;
  $('save').disabled = Boolean(name) && !unsaved();
  $('undo').disabled = store.undo.length === 0;
  $('redo').disabled = store.redo.length === 0;
}

async function save() {
  if (!store.file.name) return saveAs();
  return write(store.file.name, store.file.version);
}

export async function saveAs() {
  const name = `${(store.good?.name ?? 'plane').toLowerCase().replace(/[^\w]+/g, '-')}.plane`;
  const answer = await ask({
    title: t('file.as'), text: alone ? t('file.in.alone') : t('file.in', { folder: store.folder }),
    field: { label: t('file.ask'), value: name }, yes: t('top.save'),
  });
  if (!answer) return;
  await write(answer.endsWith('.plane') ? answer : `${answer}.plane`, null);
}

async function write(name, version) {
  emit('leaving');
  // Another design may be opened before the answer comes: it belongs to this one.
  const { file, text } = store;
  try {
    const kept = await post('/api/save', { name, text, version });
    Object.assign(file, { name, version: kept.version, saved: text });
    keep();
    if (file !== store.file) return;
    quiet();
    emit('file');
  } catch (error) {
    if (error.status !== 409) say(t('file.failed', { why: error.message }));
    else if (version === null) say(t('file.exists'));
    else if (file === store.file) outside(error.body.now);
  }
}

/** Is the file still what we saw? */
async function watch() {
  const { file } = store;
  const { name, version } = file;
  if (!name || document.hidden) return;
  try {
    const now = await get(`/api/version?name=${encodeURIComponent(name)}`);
    if (store.file !== file || file.version !== version || now.version === version) return;
    if (notice.about === `${name} ${now.version}`) return;
    outside(now.version ? await get(`/api/file?name=${encodeURIComponent(name)}`) : null);
  } catch { /* The next question says that the server is gone. */ }
}

/** Tells of a change from outside and lets the person choose; nothing is overwritten. */
function outside(now) {
  const { name } = store.file;
  notice.about = `${name} ${now?.version ?? null}`;
  if (!now) {
    Object.assign(store.file, { version: null, saved: null });
    emit('file');
    return say(t('file.gone', { name }));
  }
  const take = () => {
    Object.assign(store.file, { version: now.version, saved: now.text });
    setText(now.text);
    emit('file');
    say(t('file.taken'), [], 4000);
  };
  const keep = () => {
    Object.assign(store.file, { version: now.version, saved: now.text });
    emit('file');
    quiet();
  };
  say(t(unsaved() ? 'file.outside.conflict' : 'file.outside', { name }), [
    [t('file.take'), take], [t('file.keep'), keep], [t('file.other'), saveAs],
  ]);
}

/* ---------- the strip below the heading ---------- */

let leaving = 0;
export function say(text, actions = [], forMs = 0) {
  clearTimeout(leaving);
  notice.replaceChildren(el('p', {}, text), ...actions.map(([label, act]) => el('button', { onclick: act }, label)),
    el('button', { className: 'quiet', onclick: quiet }, t('close')));
  notice.hidden = false;
  if (forMs) leaving = setTimeout(quiet, forMs);
}
export function quiet() {
  notice.hidden = true;
  notice.replaceChildren();
}
